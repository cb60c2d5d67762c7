"""timbrel plans thin-tile vaults: from the measured room to the struck centring."""

__version__ = "0.1.0"
