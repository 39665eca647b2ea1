"""What a user can set in the editor, read tolerantly: an unknown or ill-typed value changes nothing."""

from __future__ import annotations

import logging
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from typing import Any
from urllib.parse import unquote

_log = logging.getLogger(__name__)

SECTION = "tenterhook"
HINTS = ("off", "unstated", "all")
_REST = (0.1, 60.0)


@dataclass(frozen=True)
class Settings:
    """``calm``: leave a row in peace while it is being typed, until typing pauses for ``rest`` seconds.

    ``pull``: wait to be asked for diagnostics. ``folder``: proof every manuscript of the folders that are open.
    ``hints``: which counts stand at the ends of rows: none, those the text does not state, or all.
    """

    calm: bool = True
    rest: float = 1.0
    pull: bool = False
    folder: bool = False
    hints: str = "unstated"

    def changed(self, values: object) -> Settings:
        """These settings with the given ones put over them; ``values`` may wrap them in the ``tenterhook`` section."""
        if not isinstance(values, Mapping):
            return self
        inner = values.get(SECTION, values)
        if not isinstance(inner, Mapping):
            return self
        known: dict[str, Any] = {}
        for each in fields(self):
            if each.name not in inner:
                continue
            value = inner[each.name]
            if _fits(each.name, value):
                known[each.name] = value
            elif value is not None:
                _log.warning("setting %s.%s cannot be %r", SECTION, each.name, value)
        return replace(self, **known)


def _fits(name: str, value: object) -> bool:
    if name == "rest":
        return isinstance(value, (int, float)) and not isinstance(value, bool) and _REST[0] <= value <= _REST[1]
    if name == "hints":
        return value in HINTS
    return isinstance(value, bool)


@dataclass
class SettingsByFolder:
    """The settings of a session, and of those of its folders that have their own. Folders are URIs, unquoted."""

    common: Settings
    own: dict[str, Settings]

    def of(self, uri: str) -> Settings:
        """The settings for a document: those of the innermost folder it is in."""
        uri = unquote(uri)
        around = [folder for folder in self.own if uri == folder or uri.startswith(folder.rstrip("/") + "/")]
        return self.own[max(around, key=len)] if around else self.common

    def copy(self) -> SettingsByFolder:
        return SettingsByFolder(self.common, dict(self.own))

    def change(self, values: object) -> None:
        """Take settings sent for the whole session."""
        self.common = self.common.changed(values)
        self.own = {folder: settings.changed(values) for folder, settings in self.own.items()}
