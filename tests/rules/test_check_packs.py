"""The command that checks packs, and the system check that stops a start."""

import json

import pytest
from django.core.checks import run_checks
from django.core.exceptions import ImproperlyConfigured
from django.core.management import CommandError, call_command

from claims.packs import installed_packs
from tests.rules.making import HEAD, rule_text

BROKEN = (HEAD + rule_text("{ type = 'inform' }")).replace('kind = "penalty"', 'kind = "x"')
SITUATION = """
packs = ["velmarrow"]
[[situation]]
name = "a box on a public reach"
day = 2031-05-14
gear = [{ name = "box", class = "sluice_pumped", power = "engine" }]
place = { land = "public", title = "none" }
expect = { stop = %s }
"""


@pytest.fixture
def fresh_packs():
    installed_packs.cache_clear()
    yield
    installed_packs.cache_clear()


def checked(capsys, *args):
    call_command("check_packs", *args)
    return capsys.readouterr().out


def test_the_command_reads_every_pack_and_runs_every_situation(capsys):
    out = checked(capsys)
    assert "velmarrow 2031-03: 32 rules, to be read again by 2032-03-31" in out
    assert "situations came out as expected." in out.splitlines()[-1]


def test_one_file_of_situations_shows_its_outcomes(capsys, tmp_path):
    path = tmp_path / "mine.situations.toml"
    path.write_text(SITUATION % '["engines"]', encoding="utf-8")
    out = checked(capsys, path)
    assert "mine.situations.toml: a box on a public reach: as expected" in out
    assert "stop  velmarrow/engines: Not as planned: Motorised gear is barred" in out
    data = json.loads(checked(capsys, path, "--json"))
    (situation,) = data["situations"]
    assert situation["as_expected"] is True
    first = situation["findings"][0]
    assert (first["outcome"], first["key"]) == ("stop", "velmarrow/engines")
    assert first["sources"][0]["date_of_text"] == "2030-03-01"


@pytest.mark.parametrize(
    ("expected", "message"),
    [
        ("[]", "stop given but not expected: velmarrow/engines"),
        ('["engines", "dredges"]', "stop expected but not given: velmarrow/dredges"),
    ],
)
def test_another_outcome_than_written_fails(capsys, tmp_path, expected, message):
    path = tmp_path / "mine.situations.toml"
    path.write_text(SITUATION % expected, encoding="utf-8")
    with pytest.raises(CommandError, match="1 of 1 situations came out otherwise"):
        call_command("check_packs", path)
    assert message in capsys.readouterr().out


def test_a_rule_that_is_not_there_is_named(capsys, tmp_path):
    path = tmp_path / "mine.situations.toml"
    path.write_text(SITUATION % '["engine"]', encoding="utf-8")
    with pytest.raises(CommandError, match="1 mistake"):
        call_command("check_packs", path)
    assert "stop names “engine”, which isn't a rule of these packs" in capsys.readouterr().out


@pytest.mark.parametrize("as_json", [False, True])
def test_a_broken_pack_of_a_folder_is_explained(capsys, tmp_path, as_json):
    (tmp_path / "p.toml").write_text(BROKEN, encoding="utf-8")
    with pytest.raises(CommandError, match="1 mistake in rule packs"):
        call_command("check_packs", folder=[tmp_path], json=as_json)
    out = capsys.readouterr().out
    if as_json:
        (problem,) = json.loads(out)["problems"]
        assert problem["file"] == "p.toml"
        assert problem["key"] == "rule[1].kind"
        assert problem["line"] == BROKEN.splitlines().index('kind = "x"') + 1
    else:
        assert "p.toml, line " in out


def test_the_schema_is_printed(capsys):
    data = json.loads(checked(capsys, "--schema", "pack"))
    assert data["properties"]["rule"]["items"] == {"$ref": "#/$defs/Rule"}


def test_the_bench_prints_a_ratio(capsys):
    assert "times one evaluation" in checked(capsys, "--bench")


def test_a_broken_pack_stops_the_start(settings, tmp_path, fresh_packs):
    from trips.project.packs import refuse_broken_packs

    settings.RULE_PACKS_DIR = str(tmp_path)
    assert [error for error in run_checks() if error.id == "claims.E001"] == []
    refuse_broken_packs()
    (tmp_path / "p.toml").write_text(BROKEN, encoding="utf-8")
    installed_packs.cache_clear()
    (error,) = [error for error in run_checks() if error.id == "claims.E001"]
    assert "p.toml, line" in error.msg
    assert "rule[1].kind: is “x”" in error.msg
    with pytest.raises(ImproperlyConfigured, match=r"claims\.E001: p\.toml"):
        refuse_broken_packs()


def test_a_folder_that_is_not_there_stops_the_start(settings, tmp_path, fresh_packs):
    settings.RULE_PACKS_DIR = str(tmp_path / "nowhere")
    (error,) = [error for error in run_checks() if error.id == "claims.E001"]
    assert "is not a folder (setting RULE_PACKS_DIR)" in error.msg


@pytest.mark.parametrize("demo", [True, False])
def test_an_invented_pack_is_there_in_the_demo_only(settings, fresh_packs, demo):
    settings.DEMO = demo
    assert ("velmarrow" in installed_packs()) is demo


def test_an_invented_pack_in_a_folder_of_ones_own_is_refused(settings, tmp_path, fresh_packs):
    text = (HEAD + rule_text("{ type = 'inform' }")).replace(
        'sourcing = "good"', 'sourcing = "good"\ninvented = true'
    )
    (tmp_path / "p.toml").write_text(text, encoding="utf-8")
    settings.DEMO, settings.RULE_PACKS_DIR = False, str(tmp_path)
    (error,) = [error for error in run_checks() if error.id == "claims.E001"]
    assert "is for the demo only" in error.msg
