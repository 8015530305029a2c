"""Text without case and accents, the same in Python and in both databases.

`Folded` is for searching: "Müller", "MULLER" and "muller" are one. A letter that isn't made of a
base and an accent (ø, ß) is replaced by what people type for it.
"""

import unicodedata

from django.db.models import Func, TextField
from django.db.models.functions import Lower

# Letters that no decomposition takes apart, all after lowering.
SINGLE = {"ø": "o", "ł": "l", "đ": "d", "ð": "d", "ħ": "h", "ı": "i", "ŧ": "t"}
DOUBLE = {"ß": "ss", "æ": "ae", "œ": "oe", "þ": "th"}
TABLE = str.maketrans({**SINGLE, **DOUBLE})
FIRST_MARK, LAST_MARK = "\u0300", "\u036f"
SQLITE_NAME = "ledger_fold"


def fold(text: str) -> str:
    """The text in lower case without accents."""
    plain = unicodedata.normalize("NFKD", text.lower())
    return "".join(c for c in plain if not FIRST_MARK <= c <= LAST_MARK).translate(TABLE)


class Folded(Func):
    """`fold` in the database; takes one text and gives one."""

    arity = 1
    output_field = TextField()

    def as_sqlite(self, compiler, connection, **context):
        return self.as_sql(compiler, connection, function=SQLITE_NAME, **context)

    def as_postgresql(self, compiler, connection, **context):
        inner, params = compiler.compile(Lower(self.source_expressions[0]))
        marks = f"[{FIRST_MARK}-{LAST_MARK}]"
        sql = f"regexp_replace(normalize({inner}, NFKD), %s, '', 'g')"
        params = [*params, marks]
        for letters, plain in (("".join(SINGLE), "".join(SINGLE.values())),):
            sql, params = f"translate({sql}, %s, %s)", [*params, letters, plain]
        for letter, plain in DOUBLE.items():
            sql, params = f"replace({sql}, %s, %s)", [*params, letter, plain]
        return sql, tuple(params)


def add_to_sqlite(sender, connection, **kwargs):
    """Teach a new connection the function; receiver of `connection_created`."""
    if connection.vendor == "sqlite":
        connection.connection.create_function(SQLITE_NAME, 1, _fold_or_null, deterministic=True)


def _fold_or_null(text):
    return None if text is None else fold(str(text))
