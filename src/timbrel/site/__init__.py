"""Site: centring, setting-out, batches, order of work, programme."""
