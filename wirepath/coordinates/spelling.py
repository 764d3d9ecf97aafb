"""How coordinate files spell numbers and texts."""

DECIMALS = 3


def plain(text: str) -> str:
    """Return `text` on one line."""
    return " ".join(text.split())


def fixed(value: float, decimals: int = DECIMALS) -> str:
    """Return a number with fixed decimals, never as -0.000."""
    return f"{round(value, decimals) + 0.0:.{decimals}f}"
