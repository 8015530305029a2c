"""Whatever stands at the top of a module is used by the program: tests alone keep nothing alive.

Except the sums of the handbooks: what README says is checked against them rests on these.
"""

import ast
import re
from collections import Counter

from tests.arch.test_imports import LAYERS, module_name, python_files

BY_ITS_NAME = {"Command", "__all__", "app_name", "urlpatterns"}  # what Django looks for by itself
PLAIN = {"dataclass", "cache", "lru_cache", "total_ordering"}  # other decorators register

# Sums that handbooks of the trade and of statistics work out in examples, and that are checked
# against those. No page asks for them by itself yet; whoever adds one finds them proved.
HANDBOOK = {
    "reports.decide.leave": "lambert_root interior_stay",
    "reports.decide.scouting": "Array knowledge_gradient",
    "reports.decide.sprt": "clumped_lines wald_chances truncation",
    "trips.calc.counts": "grade_relative_sd",
    "trips.calc.engines": "full_load_l_per_h",
    "trips.calc.equipment": "npv",
    "trips.calc.gold": "fineness_from_analysis",
    "trips.calc.pans": "loose_from_bank_ml bank_from_loose_ml pan_grade_mg_per_yd3 "
    "boulder_corrected recovered_grade mg_per_colour colour_number sphere_mg flake_mg "
    "sphere_diameter_mm corey_factor density_g_per_cm3 sample_l",
    "trips.calc.returns": "ratio_bias chance_sum_reaches",
    "trips.calc.sluices": "slope_degrees gal_per_min_per_ft least_water_ratio",
    "trips.calc.units": "GRAIN_UG colours_per_l swap_l_per_100km_mpg kw_from_hp",
}


def defined(tree):
    """(name, node) of what stands at the top, but for what registers itself."""
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            marks = {re.match(r"\w+", ast.unparse(mark))[0] for mark in node.decorator_list}
            if marks <= PLAIN and node.name not in BY_ITS_NAME:
                yield node.name, node
        elif isinstance(node, ast.Assign | ast.AnnAssign):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            for target in targets:
                if isinstance(target, ast.Name) and target.id not in BY_ITS_NAME:
                    yield target.id, node


def names_in(tree):
    """How often each name stands in a piece of code."""
    return Counter(node.id for node in ast.walk(tree) if isinstance(node, ast.Name))


def taken(trees):
    """(module, name) of what one module takes from another."""
    for tree in trees.values():
        rooms = {}
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom):
                for alias in node.names:
                    yield node.module, alias.name
                    rooms[alias.asname or alias.name] = f"{node.module}.{alias.name}"
        for node in ast.walk(tree):
            if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
                yield rooms.get(node.value.id), node.attr


def named_in_text(trees):
    """Words of strings without a space, as of dotted names in settings."""
    texts = (
        node.value
        for tree in trees.values()
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    )
    return {word for text in texts if " " not in text for word in re.findall(r"\w+", text)}


def unused(sources):
    """`module.name` of all that no other code of {module: source} names."""
    trees = {module: ast.parse(source) for module, source in sources.items()}
    used, words = set(taken(trees)), named_in_text(trees)
    found = []
    for module, tree in trees.items():
        here = names_in(tree)
        found += [
            f"{module}.{name}"
            for name, node in defined(tree)
            if (module, name) not in used
            and name not in words
            and here[name] == names_in(node)[name]
        ]
    return found


def kept():
    """`module.name` of the handbooks' sums."""
    return {f"{module}.{name}" for module, names in HANDBOOK.items() for name in names.split()}


def test_nothing_is_kept_for_its_tests_alone():
    sources = {
        module_name(path): path.read_text(encoding="utf-8") for path in python_files(*LAYERS)
    }
    # Django reads settings and formats; what settings name by a dotted word counts as used.
    found = {each for each in unused(sources) if not each.startswith("trips.project.")}
    assert found == kept()


def test_what_is_unused_is_seen():
    sources = {
        "a.one": "SIZE = 1\ndef again():\n    return again()\n@register\ndef tag(): pass\n",
        "a.two": "from a import one\nfrom a.one import other\none.SIZE\nother()\n",
    }
    assert unused(sources) == ["a.one.again"]
