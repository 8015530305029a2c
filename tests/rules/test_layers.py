"""Local layers over shipped packs: an invented farm, club and county add terms of their own."""

from pathlib import Path

import pytest

from claims.management.commands.check_packs import beside, run, with_demo
from claims.rules.evaluate import evaluate
from claims.rules.loader import SITUATIONS, load_folders, stack
from claims.rules.situations import as_situation, load_situations

LAYERS = Path(__file__).parent / "layers"
PACKS = load_folders([*with_demo([]), LAYERS])
FILES = [pytest.param(path, id=path.name) for path in beside([LAYERS])]


@pytest.mark.parametrize("file", FILES)
def test_layers_come_out_as_their_texts_say(file):
    outcomes = run(PACKS, [file])
    assert len(outcomes) >= 3
    assert [f"{each.name}: {each.wrong}" for each in outcomes if each.wrong] == []


@pytest.mark.parametrize("file", FILES)
def test_a_layer_takes_nothing_away(file):
    """Each situation of the pack below says all it said, with its outcome, under the layer."""
    layer = PACKS[file.name.removesuffix(SITUATIONS)]
    (below,) = layer.pack.pack.within
    alone = [each.pack for each in stack(PACKS, [below])]
    both = [each.pack for each in stack(PACKS, [layer.id])]
    assert len(both) == len(alone) + 1
    texts = load_situations((beside_pack(below)).read_bytes(), below)
    for text in texts.situation:
        situation = as_situation(text)
        before = {(f.key, f.outcome) for f in evaluate(alone, situation).findings}
        after = {(f.key, f.outcome) for f in evaluate(both, situation).findings}
        assert before <= after, text.name


def beside_pack(pack_id):
    return next(path for path in beside(with_demo([])) if path.name == f"{pack_id}{SITUATIONS}")


def test_the_state_s_looser_bound_names_the_farm_s():
    text = load_situations((LAYERS / "mill-bend.situations.toml").read_bytes(), "mill-bend")
    stacked = [each.pack for each in stack(PACKS, ["mill-bend"])]
    findings = {f.key: f for f in evaluate(stacked, as_situation(text.situation[0])).findings}
    (warning,) = findings["au-tas/sluice-length"].warnings
    assert "Mill Bend farm (invented) is stricter here" in warning
    assert findings["mill-bend/sluice"].warnings == ()
    assert findings["mill-bend/sluice"].layer == "Mill Bend farm (invented)"
