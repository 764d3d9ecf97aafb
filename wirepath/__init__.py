"""Plans the hot-wire foam stage: from an outline to blocks, wire paths and cut sheets."""

__version__ = "0.1.0"
