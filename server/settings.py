"""What a user can set in the editor, read tolerantly: an unknown or ill-typed value changes nothing."""

from __future__ import annotations

import logging
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

_log = logging.getLogger(__name__)

SECTION = "tenterhook"


@dataclass(frozen=True)
class Settings:
    """``calm``: leave a row in peace while it is being typed. ``pull``: wait to be asked for diagnostics."""

    calm: bool = True
    pull: bool = False

    def changed(self, values: object) -> Settings:
        """These settings with the given ones put over them; ``values`` may wrap them in the ``tenterhook`` section."""
        if not isinstance(values, Mapping):
            return self
        inner = values.get(SECTION, values)
        if not isinstance(inner, Mapping):
            return self
        known: dict[str, Any] = {}
        for name in ("calm", "pull"):
            if name in inner:
                if isinstance(inner[name], bool):
                    known[name] = inner[name]
                else:
                    _log.warning("setting %s.%s wants true or false, not %r", SECTION, name, inner[name])
        return replace(self, **known)
