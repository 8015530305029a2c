"""The frame of the browser tests notices what it is there to notice."""

import pytest

GOOD = """<!doctype html><html lang="en"><head><title>Pan</title>
<meta name="viewport" content="width=device-width"></head>
<body><main><h1>Pan</h1><label>Litres <input></label></main></body></html>"""


@pytest.fixture
def show(live_server):
    """Show a page made up by the test at an address of the site."""

    def put(page, html, headers=None, path="/made-up/"):
        sent = {"Content-Type": "text/html", **(headers or {})}
        page.route(f"**{path}", lambda route: route.fulfill(body=html, headers=sent))
        page.goto(path)

    return put


def is_noticed(page, problems, text):
    """Whether an error with this text is told within 15 s: a busy machine tells it late."""
    for _ in range(150):
        if any(text in seen for seen in problems.unexpected()):
            return True
        page.wait_for_timeout(100)
    return False


def test_a_sound_page_passes_at_both_widths(page_at, show, axe, fits, problems):
    show(page_at, GOOD)
    axe(page_at)
    fits(page_at)
    assert problems.seen == []


def test_the_widths_are_those_named(phone, desk, show):
    for page, width in ((phone, 390), (desk, 1280)):
        show(page, GOOD)
        assert page.evaluate("window.innerWidth") == width


def test_console_errors_are_noticed(desk, show, problems):
    show(desk, GOOD)
    desk.evaluate("console.error('the pan has a hole')")
    assert is_noticed(desk, problems, "the pan has a hole")
    problems.allow("the pan has a hole")
    assert problems.unexpected() == []


def test_page_errors_are_noticed(desk, show, problems):
    show(desk, GOOD)
    desk.evaluate("setTimeout(() => { throw new Error('the sluice is dry') }, 0)")
    assert is_noticed(desk, problems, "page error: ")
    problems.allow("the sluice is dry")


def test_what_the_content_policy_blocks_is_noticed(desk, show, problems):
    inline = GOOD.replace("</main>", "<script>document.title = 'ran'</script></main>")
    show(desk, inline, headers={"Content-Security-Policy": "default-src 'self'"})
    assert is_noticed(desk, problems, "blocked by the content policy")
    assert desk.title() == "Pan"
    problems.allow("blocked by the content policy")
    problems.allow("Content Security Policy")


def test_an_input_without_a_label_is_noticed(desk, show, axe):
    show(desk, GOOD.replace("<label>Litres <input></label>", "<input>"))
    with pytest.raises(AssertionError, match="label"):
        axe(desk)


def test_a_page_wider_than_the_phone_is_noticed(phone, show, fits):
    show(phone, GOOD.replace("<main>", '<main style="width: 500px">'))
    with pytest.raises(AssertionError, match="px wider than the screen"):
        fits(phone)
