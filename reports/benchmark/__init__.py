"""How long pages, files, imports and ranking take, beside floors measured in the same run.

`record` invents a party of a given size, `club` puts as many parties beside it, `pages` names what
is measured, `floors` says against what, `measure` takes the times, `shown` prints them. Everything
works on the database at hand, which `manage.py benchmark` makes for the purpose and takes away.
"""
