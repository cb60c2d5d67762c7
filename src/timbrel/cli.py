"""The command line, thin."""

from __future__ import annotations


def main() -> None:
    """Start the command line."""
