"""The site's record: what was measured, batched, inspected and signed."""
