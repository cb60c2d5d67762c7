"""What the mason states: the job file, its units and its checks."""
