"""What the house says, in each language: gettext catalogues, and how they are gathered."""
