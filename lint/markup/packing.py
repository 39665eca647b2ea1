"""A packed folder with some of its parts changed or new, and every other as it was."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping

from ..confined import allow
from ..manuscript.packed import Packed

_SECONDS_PER_BYTE = 0.000_000_2
"""What is allowed for packing each byte: some three times what it takes on a slow machine."""


def packed_again(packed: Packed, changed: Mapping[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as to:
        for member in packed.members():
            data = changed[member.filename] if member.filename in changed else packed.bytes(member.filename)
            allow(_SECONDS_PER_BYTE * len(data))
            to.writestr(_like(member), data)
        for name in [name for name in changed if name not in packed.names]:
            to.writestr(name, changed[name])
    return out.getvalue()


def _like(member: zipfile.ZipInfo) -> zipfile.ZipInfo:
    """How a part is packed again: as it was, where that can be written, and with the time it had."""
    like = zipfile.ZipInfo(member.filename, member.date_time)
    like.compress_type = zipfile.ZIP_STORED if member.compress_type == zipfile.ZIP_STORED else zipfile.ZIP_DEFLATED
    like.external_attr, like.comment = member.external_attr, member.comment
    return like
