"""The local page: a folder of jobs, seen and changed in a browser."""
