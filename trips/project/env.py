"""Settings from the environment, read strictly: a wrong value stops the start with a sentence."""

import datetime as dt
import os
from collections.abc import Mapping


class SettingError(Exception):
    """A setting from the environment that can't be read; the message names it."""


def boolean(name: str, default: bool, environ: Mapping[str, str] = os.environ) -> bool:
    """The switch `name`; only True and False are accepted."""
    raw = environ.get(name)
    if raw is None:
        return default
    if raw not in ("True", "False"):
        raise SettingError(f"{name} is {raw!r}; write True or False.")
    return raw == "True"


def words(name: str, default: str, environ: Mapping[str, str] = os.environ) -> list[str]:
    """The comma-separated list `name`, without blanks."""
    return [part.strip() for part in environ.get(name, default).split(",") if part.strip()]


def choice(
    name: str, default: str, allowed: tuple[str, ...], environ: Mapping[str, str] = os.environ
) -> str:
    """The value of `name`, one of `allowed`."""
    raw = environ.get(name, default)
    if raw not in allowed:
        raise SettingError(f"{name} is {raw!r}; write one of {', '.join(allowed)}.")
    return raw


def whole_number(
    name: str, default: int, low: int, high: int, environ: Mapping[str, str] = os.environ
) -> int:
    """The whole number `name`, between `low` and `high`."""
    raw = environ.get(name, str(default))
    if not (raw.isascii() and raw.isdigit() and low <= int(raw) <= high):
        raise SettingError(f"{name} is {raw!r}; write a whole number from {low} to {high}.")
    return int(raw)


def day(name: str, default: str, environ: Mapping[str, str] = os.environ) -> dt.date:
    """The date `name`, written YYYY-MM-DD."""
    raw = environ.get(name, default)
    try:
        return dt.date.fromisoformat(raw)
    except ValueError:
        raise SettingError(f"{name} is {raw!r}; write a date as YYYY-MM-DD.") from None
