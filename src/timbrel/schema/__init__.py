"""plan.json: how a plan is written down, and the schema that it keeps to."""
