"""The kinds of things the modules beside this one speak of, without what it takes to find them."""

from __future__ import annotations

from enum import StrEnum


class NameKind(StrEnum):
    """What a name stands for."""

    ABBREVIATION = "abbreviation"
    STITCH = "special stitch"
    COLOUR = "colour"


class Role(StrEnum):
    """What a stretch of a row is for."""

    LABEL = "label"
    STITCH = "stitch"
    NUMBER = "number"
    PLACE = "placement"
    REPEAT = "repeat"
    COUNT = "count"
    COLOUR = "colour"
    ACTION = "action"
    REMARK = "remark"
    DEFINED = "defined"  # a word where the key explains it


class OfferKind(StrEnum):
    """What is offered for typing, the likeliest kind first."""

    COUNT = "count"
    LABEL = "row label"
    PLACE = "placement"
    EXPLAINED = "in the key"
    STITCH = "stitch"
    COLOUR = "colour"
    STEP = "step"
    ENTRY = "entry for the key"
