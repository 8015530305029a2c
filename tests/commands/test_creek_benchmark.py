"""The command that times a table: it prints both, and both give the same value."""

import re

from django.core.management import call_command


def test_the_bench_prints_the_table_beside_plain_loops(capsys):
    call_command("creek_benchmark", rounds=1)
    said = capsys.readouterr().out
    for colours in (40, 200):
        assert re.search(rf"^ +{colours} +\d", said, re.MULTILINE)
    values = re.findall(r"value +([\d.]+) +([\d.]+)", said)
    assert len(values) == 2
    # At 40 colours the plain loops cut a tail of about a thousandth; at 200 none is left.
    assert abs(float(values[0][0]) - float(values[0][1])) < 5e-3
    assert values[1][0] == values[1][1]
