"""The version, written out: asking the package index of the interpreter for it costs more than the rest of start-up."""

VERSION = "0.1.0"
