"""Pages as a browser sees them: which forms they hold, and what those would send."""

from html.parser import HTMLParser

from django import forms


def read_whole(response):
    """Take in a file that is sent piece by piece; the client closes it then as a server does."""
    if response.streaming:
        list(response.streaming_content)


class Shown(HTMLParser):
    """What a browser would send of the forms of a page that lead to `path`; blanks are filled."""

    FILLING = {"date": "2031-05-03", "time": "10:00", "datetime-local": "2031-05-03T10:00"}

    def __init__(self, path: str):
        super().__init__()
        self.path, self.is_in, self.select, self.area = path, False, None, None
        self.sent: dict[str, list[str]] = {}

    def handle_starttag(self, tag, attrs):
        at = dict(attrs)
        if tag == "form":
            leads = (at.get("action") or self.path).partition("?")[0]
            self.is_in = (at.get("method") or "").lower() == "post" and leads == self.path
        if not self.is_in:
            return
        name, kind = at.get("name"), at.get("type", "text")
        if tag == "input" and name and kind not in ("file", "submit"):
            if kind in ("checkbox", "radio"):
                if "checked" in at:
                    self.sent.setdefault(name, []).append(at.get("value", "on"))
            else:
                filling = "" if kind == "hidden" else self.FILLING.get(kind, "1")
                self.sent.setdefault(name, []).append(at.get("value") or filling)
        elif tag == "button" and name:
            self.sent.setdefault(name, [at.get("value", "")])
        elif tag == "select" and name:
            self.select, self.options = name, []
        elif tag == "option" and self.select:
            self.options.append((at.get("value", ""), "selected" in at))
        elif tag == "textarea" and name:
            self.area, self.sent[name] = name, ["1"]

    def handle_endtag(self, tag):
        if tag == "select" and self.select:
            chosen = [value for value, is_chosen in self.options if is_chosen and value]
            first = [value for value, _ in self.options if value][:1]
            self.sent[self.select] = chosen or first
            self.select = None
        self.area = None if tag == "textarea" else self.area

    def handle_data(self, data):
        if self.area and data.strip():
            self.sent[self.area] = [data]


def as_shown(client, path: str) -> tuple[bool, dict[str, list[str]], list[forms.BaseForm]]:
    """Whether there is a page at `path`, what it would send, and the forms it was made of."""
    answer = client.get(path)
    read_whole(answer)
    if answer.status_code != 200 or answer.streaming or "html" not in answer["Content-Type"]:
        return answer.status_code == 200, {}, []
    page = Shown(path)
    page.feed(answer.content.decode())
    return True, page.sent, forms_in(answer)


def forms_in(answer) -> list[forms.BaseForm]:
    """Every form that a template got, by itself, in a formset or as a part of its page."""
    found: dict[int, forms.BaseForm] = {}

    def look(value, depth=0):
        if isinstance(value, forms.BaseForm):
            found[id(value)] = value
        elif isinstance(value, forms.BaseFormSet):
            found.update({id(form): form for form in value})
        elif depth < 3 and hasattr(value, "__dataclass_fields__"):
            for name in value.__dataclass_fields__:
                look(getattr(value, name), depth + 1)
        elif depth < 3 and isinstance(value, list | tuple):
            for each in value:
                look(each, depth + 1)

    for context in answer.context or ():
        for layer in getattr(context, "dicts", [context]):
            for value in layer.values():
                look(value)
    return list(found.values())
