"""What stands for a text in scripts, and the language that everything is written in."""

SOURCE = "en"
# The functions of the field page's scripts that say a text; the second one takes two forms.
SCRIPT_WORDS: dict[str, tuple | None] = {"t": None, "many": (1, 2)}
