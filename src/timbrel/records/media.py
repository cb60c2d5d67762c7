"""Pictures that the record takes, told by their first bytes."""

from __future__ import annotations

PICTURE_MOST = 20 * 1024 * 1024
MAGIC = {b"\xff\xd8\xff": "image/jpeg", b"\x89PNG": "image/png", b"RIFF": "image/webp"}


def media_of(data: bytes) -> str | None:
    """The media type by the first bytes, None for what is not an accepted picture."""
    return next((m for magic, m in MAGIC.items() if data.startswith(magic)), None)
