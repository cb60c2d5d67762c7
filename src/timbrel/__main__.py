"""``python -m timbrel`` is the command line."""

from timbrel.cli import main

main()
