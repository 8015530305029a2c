"""The format of a pack or of a file of situations as JSON Schema (draft 2020-12), for editors.

It is read off the same classes as the loader; days are text in it, as JSON has none.
"""

import datetime as dt
from dataclasses import MISSING, fields, is_dataclass
from typing import Any, Literal, get_args, get_origin

from claims.rules.reading import LONGEST_TEXT, SLUG, hints_of, key_of, tag_key, union_of

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def json_schema(cls: type, title: str) -> dict[str, Any]:
    """The schema of a class of the format with all it holds."""
    definitions: dict[str, Any] = {}
    top = _dataclass(cls, definitions)
    return {"$schema": DIALECT, "title": title, **top, "$defs": definitions}


def _dataclass(cls: type, definitions: dict[str, Any]) -> dict[str, Any]:
    properties: dict[str, Any] = {}
    required = []
    tag = getattr(cls, "TAG", None)
    if tag:
        properties[tag_key(cls)] = {"const": tag}
        required.append(tag_key(cls))
    for entry in fields(cls):
        shape = _value(hints_of(cls)[entry.name], definitions)
        properties[key_of(entry)] = {**shape, "description": entry.metadata["doc"]}
        if entry.default is MISSING:
            required.append(key_of(entry))
    made: dict[str, Any] = {
        "type": "object",
        "properties": properties,
        "required": required,
        "additionalProperties": False,
    }
    if cls.__doc__:
        made["description"] = " ".join(cls.__doc__.split())
    return made


def _value(hint: Any, definitions: dict[str, Any]) -> dict[str, Any]:
    members = union_of(hint)
    if len(members) == 1:
        return _value(members[0], definitions)
    if members:
        return {"oneOf": [_ref(member, definitions) for member in members]}
    if get_origin(hint) is tuple:
        return {"type": "array", "items": _value(get_args(hint)[0], definitions)}
    if get_origin(hint) is dict:
        return {"type": "object", "additionalProperties": {"type": ["boolean", "string"]}}
    if get_origin(hint) is Literal:
        return {"enum": list(get_args(hint))}
    if is_dataclass(hint) and not hasattr(hint, "parse"):
        return _ref(hint, definitions)
    if hint is bool:
        return {"type": "boolean"}
    if hint is int:
        return {"type": "integer", "minimum": 0}
    if hint is dt.date:
        return {"type": "string", "format": "date"}
    made: dict[str, Any] = {"type": "string", "minLength": 1, "maxLength": LONGEST_TEXT}
    if getattr(hint, "__name__", "") == "Slug":
        made["pattern"] = SLUG.pattern
    return made


def _ref(cls: Any, definitions: dict[str, Any]) -> dict[str, Any]:
    name = cls.__name__
    if name not in definitions:
        definitions[name] = {}  # holds the place while what it holds is read, which may name it
        definitions[name] = _dataclass(cls, definitions)
    return {"$ref": f"#/$defs/{name}"}


def reference(*classes: type) -> str:
    """Markdown tables of the classes given and of all they hold: key, needed, what it is."""
    waiting, done = list(classes), []
    for cls in waiting:
        if cls not in done:
            done.append(cls)
            for entry in fields(cls):
                waiting += _held(hints_of(cls)[entry.name])
    return "\n".join(_table(cls) for cls in done)


def _held(hint: Any) -> list[Any]:
    if members := union_of(hint):
        return [held for member in members for held in _held(member)]
    if get_origin(hint) is tuple:
        return _held(get_args(hint)[0])
    return [hint] if is_dataclass(hint) and not hasattr(hint, "parse") else []


def _table(cls: type) -> str:
    tag = getattr(cls, "TAG", None)
    name = f'`{tag_key(cls)} = "{tag}"`' if tag else cls.__name__
    about = " ".join((cls.__doc__ or "").split())
    rows = [f"### {name}", "", about, ""]
    if fields(cls):
        rows += ["| key | needed | what it is |", "|---|---|---|"]
    for entry in fields(cls):
        needed = "yes" if entry.default is MISSING else ""
        words = entry.metadata["doc"] + _choices(hints_of(cls)[entry.name])
        rows.append(f"| `{key_of(entry)}` | {needed} | {words} |")
    return "\n".join([*rows, ""])


def _choices(hint: Any) -> str:
    members = union_of(hint)
    if len(members) == 1:
        return _choices(members[0])
    if get_origin(hint) is tuple:
        return _choices(get_args(hint)[0])
    if get_origin(hint) is Literal:
        return " One of: " + ", ".join(f"`{word}`" for word in get_args(hint)) + "."
    return ""
