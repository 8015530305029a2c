"""A pack with a mistake is refused whole; the message names file, key and line."""

import re

import pytest

from claims.rules.loader import MAX_BYTES, PackError, load_folders, load_text
from tests.rules.making import HEAD, pack_of, rule_text

GOOD = HEAD + rule_text("{ type = 'inform' }")


def refused(text, file="p.toml"):
    with pytest.raises(PackError) as caught:
        load_text(text, file)
    return [str(problem) for problem in caught.value.problems]


def test_the_good_one_is_good():
    assert load_text(GOOD, "p.toml").pack.rule[0].text == "The rule."


BAD = [
    ('kind = "penalty"', 'kind = "penalty"\ncolour = "red"', "rule[1].colour: is not a key here"),
    (
        'kind = "penalty"',
        'kind = "penlty"',
        "rule[1].kind: is “penlty”; write one of authorisation",
    ),
    ('sources = ["s"]', "sources = []", "rule[1].sources: is empty: every rule names the text"),
    ('sources = ["s"]\n', "", "rule[1].sources: is missing. Ids of sources, at least one."),
    ('sources = ["s"]', 'sources = ["t"]', "names the source “t”, which the pack doesn't define"),
    ('text = "The rule."', 'text = ""', "rule[1].text: is empty"),
    ('text = "The rule."', "text = 5", "rule[1].text: expected text in quotes, not “5”"),
    (
        "{ type = 'inform' }",
        "{ type = 'forbid' }",
        "effect.type: is “forbid”; write one of prohibit",
    ),
    ("{ type = 'inform' }", "{ }", "rule[1].effect.type: is missing; write one of prohibit"),
    ("{ type = 'inform' }", "'prohibit'", "rule[1].effect: expected a table, not “prohibit”"),
    (
        "when = []",
        "when = [{ fact = 'date', within = ['02-30..03-31'] }]",
        "when[1].within[1]: February has the days 01 to 29, so there is no “02-30”.",
    ),
    (
        "{ type = 'inform' }",
        "{ type = 'gear_limit', number = 'nozzle', at_most = '4' }",
        "effect.at_most: 4 has no unit; write for example “4 m”",
    ),
    (
        "{ type = 'inform' }",
        "{ type = 'gear_limit', number = 'nozzle', at_most = '4 hp' }",
        "effect: “4 hp” is a power; expected a length",
    ),
    (
        "{ type = 'inform' }",
        "{ type = 'gear_limit', number = 'nozzle' }",
        "effect: needs a bound: over, at_least, under or at_most",
    ),
    (
        "{ type = 'inform' }",
        "{ type = 'gear_limit', number = 'nozzle', at_most = 4 }",
        "effect.at_most: expected a number with its unit in quotes, such as “4 in”, not “4”",
    ),
    (
        "{ type = 'inform' }",
        "{ type = 'gear_limit', number = 'nozzle', at_most = '4 furlong' }",
        "“furlong” is not a unit; known are mm, cm",
    ),
    (
        'url = "https://example.org/s"',
        'url = "example dot org"',
        "source[1].url: “example dot org” is not an address such as https://example.org/rules",
    ),
    ('url = "https://example.org/s"', 'url = "https://"', "source[1].url: “https://” is not an"),
    ('url = "https://example.org/s"\n', "", "source[1]: needs either url or where"),
    ('id = "hearsay"', 'id = "s"', "source[2].id: “s” is the id of source[1] already"),
    ("review_by = 2039-12-31", "review_by = 2030-12-31", "pack.review_by: lies before checked_on"),
    ("review_by = 2039-12-31", 'review_by = "2039-12-31"', "expected a day without quotes"),
    ('level = "region"', 'level = "region"\nwithin = ["p"]', "pack.within: names the pack itself"),
    ('sources = ["s"]', 'sources = ["hearsay"]', "can only warn or ask"),
    ('sources = ["s"]', 'sources = ["s"]\nstanding = "draft"', "can only warn or ask"),
    ("{ type = 'inform' }", "{ type = 'paper' }", "effect: needs either all_of or any_of"),
    ("{ type = 'inform' }", "{ type = 'paper', any_of = ['x'] }", "names the paper “x”"),
    ("{ type = 'inform' }", "{ type = 'duty', due = 'after_end' }", "days: is missing: within how"),
    ("{ type = 'inform' }", "{ type = 'remind' }", "needs either on (every year) or on_day (once)"),
    ("{ type = 'inform' }", "{ type = 'remind', on = '13-01' }", "The month comes first"),
    (
        "when = []",
        "when = [{ fact = 'answer', question = 'fish', one_of = ['yes'] }]",
        "is about a yes-or-no question",
    ),
    ("when = []", "when = [{ fact = 'weather' }]", "when[1].fact: is “weather”; write one of gear"),
    ("when = []", "when = [{ fact = 'person' }]", "tests nothing; give under_age, of_age"),
    ("when = []", "when = [{ fact = 'all', of = [] }]", "when[1].of: is empty"),
    ("when = []", "when = [{ fact = 'land', one_of = [] }]", "when[1].one_of: is empty"),
    (
        'sources = ["s"]',
        'sources = ["s"]\nvalid_from = 2031-02-01\nvalid_to = 2031-01-01',
        "rule[1].valid_to: lies before valid_from",
    ),
    (
        "{ type = 'inform' }",
        "{ type = 'closed_hours', within = '25:00..08:00' }",
        "“25:00” is not a time such as 08:30",
    ),
]


@pytest.mark.parametrize(("old", "new", "message"), BAD)
def test_a_mistake_is_named_with_its_key_and_line(old, new, message):
    assert old in GOOD
    text = GOOD.replace(old, new, 1)
    problems = refused(text)
    assert any(message in problem for problem in problems), problems
    for problem in problems:
        line = int(re.match(r"p\.toml, line (\d+)", problem).group(1))
        assert 0 < line <= len(text.splitlines())


@pytest.mark.parametrize(
    ("begins", "is_right"), [("2031-03-31", True), ("2031-04-01", True), ("2031-04-02", False)]
)
def test_a_rule_that_took_over_leaves_no_day_unsaid(begins, is_right):
    old = rule_text("{ type = 'inform' }", more="valid_to = 2031-03-31\nreplaced_by = 'new'")
    new = rule_text("{ type = 'inform' }", rule_id="new", more=f"valid_from = {begins}")
    if is_right:
        pack_of(old, new)
        return
    (problem,) = refused(HEAD + old + new)
    assert "begins on 2031-04-02: nothing would be said between 2031-03-31 and that day" in problem


def test_the_line_is_the_one_of_the_key():
    text = GOOD.replace('kind = "penalty"', 'kind = "penlty"')
    line = text.splitlines().index('kind = "penlty"') + 1
    assert refused(text)[0].startswith(f"p.toml, line {line}: rule[1].kind")


def test_the_line_is_found_inside_a_list_of_tests():
    tests = "\n  { fact = 'land', one_of = ['park'] },\n  { fact = 'land', one_of = ['pork'] },\n"
    text = GOOD.replace("when = []", f"when = [{tests}]")
    line = next(n for n, row in enumerate(text.splitlines(), 1) if "pork" in row)
    assert refused(text)[0].startswith(f"p.toml, line {line}: rule[1].when[2].one_of[1]")


def test_an_id_used_twice_names_both_places():
    problems = refused(GOOD + rule_text("{ type = 'inform' }"))
    assert "rule[2].id: “r” is the id of rule[1] already" in problems[0]


def test_all_mistakes_come_at_once():
    text = GOOD.replace('kind = "penalty"', 'kind = "x"').replace('level = "region"', 'level = "y"')
    assert len(refused(text)) == 2


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("[pack\n", "p.toml, line 1: is not TOML"),
        ("a = 1\na = 2\n", "p.toml, line 2: is not TOML: Cannot overwrite a value"),
        (b"\n\nx = '\xff'", "p.toml, line 3: is not UTF-8 text"),
        ("x = " + "[" * 100_000, "is nested over 16"),
        ("x = " + "[" * 40 + "]" * 40, "is nested over 16"),
        ("\nx" + ".x" * 900_000 + " = 1", "p.toml, line 2: is nested over 16"),
        ("x = {" + '"=\\"". \'.\'.' * 150_000 + "x = 1}", "p.toml, line 1: is nested over 16"),
        ("x = 0." + "9" * 5_000, "p.toml: holds a number or date that can't be read"),
        ("x = " + "9" * 5_000, "p.toml: holds a number or date that can't be read"),
        ("x = 2031-02-30", "p.toml"),
        ("", "pack: is missing. Head of the pack."),
    ],
)
def test_what_is_no_pack_at_all_is_refused_in_a_sentence(text, message):
    assert message in refused(text)[0]


def test_a_file_of_50_mb_is_refused_by_its_size():
    (problem,) = refused(b"#" * 50_000_000)
    assert problem == "p.toml: has 50.0 MB; a pack has at most 2 MB."


def test_a_pack_of_10_000_rules_is_refused():
    many = HEAD + "\n[[rule]]\n" * 10_000
    assert len(many) < MAX_BYTES
    (problem,) = refused(many)
    assert problem.startswith("p.toml: rule: holds 10000 rules; a pack holds at most 2000.")


def write(folder, name, within="[]", text=GOOD):
    made = text.replace('id = "p"', f'id = "{name}"', 1)
    made = made.replace('level = "region"', f'level = "region"\nwithin = {within}', 1)
    (folder / f"{name}.toml").write_text(made, encoding="utf-8")


def test_packs_in_a_circle_are_refused(tmp_path):
    write(tmp_path, "a", "['b']")
    write(tmp_path, "b", "['c']")
    write(tmp_path, "c", "['a']")
    with pytest.raises(PackError, match=r"a\.toml: pack\.within: goes in a circle: a within b"):
        load_folders([tmp_path])


def test_a_layer_that_is_not_there_is_refused(tmp_path):
    write(tmp_path, "a", "['nowhere']")
    with pytest.raises(PackError, match="names “nowhere”, and there is no pack of this id"):
        load_folders([tmp_path])


def test_a_file_bears_the_name_of_its_pack(tmp_path):
    write(tmp_path, "a")
    (tmp_path / "a.toml").rename(tmp_path / "b.toml")
    with pytest.raises(PackError, match=r"b\.toml: pack\.id: is “a”"):
        load_folders([tmp_path])


def test_a_folder_of_ones_own_replaces_a_pack(tmp_path):
    for name in ("ours", "theirs"):
        (tmp_path / name).mkdir()
    write(tmp_path / "ours", "a")
    write(tmp_path / "theirs", "a", text=GOOD.replace("The rule.", "Another rule."))
    packs = load_folders([tmp_path / "ours", tmp_path / "theirs"])
    assert packs["a"].pack.rule[0].text == "Another rule."


def test_mistakes_of_several_files_come_together(tmp_path):
    for name in ("a", "b"):
        write(tmp_path, name, text=GOOD.replace('kind = "penalty"', 'kind = "x"'))
    with pytest.raises(PackError) as caught:
        load_folders([tmp_path])
    assert [problem.file for problem in caught.value.problems] == ["a.toml", "b.toml"]
