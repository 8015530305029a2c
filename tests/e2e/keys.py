"""Hands on a keyboard: every key goes through here and is counted; no mouse, no touch.

The time is an estimate by the keystroke-level model: S. K. Card, T. P. Moran, A. Newell, "The
keystroke-level model for user performance time with interactive systems", Communications of the
ACM 23 (1980) 396-410 (from memory): 0.28 s a key for somebody who types but isn't a typist, 1.35 s
to think before each field or button.
"""

KEY_S, THINK_S = 0.28, 1.35
MOST_TABS = 400


class Keys:
    """Types and walks with the Tab key; `count` keys pressed, `thinks` fields and buttons met."""

    def __init__(self, page):
        self.page, self.count, self.thinks = page, 0, 0

    def press(self, key, times=1):
        for _ in range(times):
            self.page.keyboard.press(key)
            self.count += 1

    def write(self, text):
        """Write into whatever has the focus; a letter is a key, a capital two."""
        self.page.keyboard.type(text)
        self.count += sum(2 if letter.isupper() else 1 for letter in text)

    def to(self, place):
        """Go on with Tab to the element that a selector names, as people do, one key at a time."""
        self.thinks += 1
        for _ in range(MOST_TABS):
            if self.page.evaluate("at => document.activeElement.matches(at)", place):
                return
            self.press("Tab")
        raise AssertionError(f"Tab doesn't lead to {place} on {self.page.url}")

    def fill(self, **values):
        """Write over what stands in the fields of these names, in their order on the page."""
        for name, value in values.items():
            self.to(f'[name="{name.replace("__", "-")}"]')
            self.write(value)

    @property
    def seconds(self) -> float:
        return self.count * KEY_S + self.thinks * THINK_S

    def __str__(self):
        return (
            f"{self.count} keys and {self.thinks} fields or buttons, about {self.seconds:.0f} s "
            f"by the keystroke-level model ({KEY_S} s a key, {THINK_S} s to think)"
        )
