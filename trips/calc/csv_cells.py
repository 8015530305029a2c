"""The csv module, with the longest cell that it takes set for the whole process.

Its own bound is one number a process, so two readers that each set theirs would change it for one
another in the midst of a file. It is set here alone, to what the largest table that is read whole
may hold; who wants less looks at the cells. Readers of files from people take `csv` from here.
"""

import csv

LONGEST_CELL = 5_000_000  # letters: as many as the largest sheet has bytes

csv.field_size_limit(LONGEST_CELL)

__all__ = ["LONGEST_CELL", "csv"]
