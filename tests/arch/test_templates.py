"""Every template can be read: whatever it uses, it loads."""

from django.template.loader import get_template

from tests.arch.test_imports import ROOT

FOLDER = ROOT / "templates"
TEMPLATES = sorted(path.relative_to(FOLDER).as_posix() for path in FOLDER.rglob("*.html"))


def test_every_template_can_be_read():
    """A page whose test reaches it seldom would otherwise answer with an error unseen."""
    assert len(TEMPLATES) > 100
    for name in TEMPLATES:
        get_template(name)
