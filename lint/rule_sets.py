"""Where rules come from: the packages that offer the entry-point group ``tenterhook.rules``.

Asking the installed packages for their entry points takes longer than reading a short manuscript, so the answer is kept
in the user's cache folder for as long as no folder on the module path changes.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterable
from functools import lru_cache, reduce
from importlib import import_module
from importlib.util import source_hash

from .cache import cache_folder, keep
from .rule import Rule

GROUP = "tenterhook.rules"


@lru_cache(maxsize=1)
def installed_rules() -> tuple[Rule, ...]:
    """Every rule of every package that offers some. Raises what such a package raises when it is loaded."""
    return tuple(rule for offer in _offers() for rule in _loaded(offer)())


def _loaded(offer: str) -> Callable[[], Iterable[Rule]]:
    """What an entry point's value names: ``package.module:name``, as the packaging standard has it."""
    module, _, name = offer.partition(":")
    return reduce(getattr, filter(None, name.split(".")), import_module(module))


def _offers() -> list[str]:
    """The values of the group's entry points, each once."""
    folder, stamp = cache_folder(), _stamp()
    path = folder and folder / f"rules-{source_hash(os.pathsep.join(sys.path).encode()).hex()}.txt"
    try:
        kept, *offers = path.read_text("utf-8").split("\n") if path else [""]
    except (OSError, ValueError):
        kept, offers = "", []
    if kept == stamp and offers:
        return offers
    # Imported here because it is what a run with a kept answer does not pay for.
    from importlib.metadata import entry_points

    offers = list(dict.fromkeys(entry.value for entry in entry_points(group=GROUP)))
    if path:
        keep(path, "\n".join([stamp, *offers]).encode())
    return offers


def _stamp() -> str:
    """What changes when a package is installed, upgraded or taken away: the times of the folders on the module path."""
    times: list[str] = []
    for entry in sys.path:
        try:
            times.append(str(os.stat(entry or ".").st_mtime_ns))
        except OSError:
            times.append("-")
    return " ".join(times)
