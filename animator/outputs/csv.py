"""Numbers against time as CSV: one column a quantity, named as in the report, with its unit in brackets."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike


def table_bytes(columns: Mapping[str, ArrayLike]) -> bytes:
    """Give a table as the bytes of a CSV file.

    Parameters
    ----------
    columns
        Name with unit, ``heron.lift [mm]`` -> (row_count,) values. True and false are written 1 and 0, what is not known is left empty.

    Raises
    ------
    ValueError
        Columns of different length.

    Examples
    --------
    >>> print(table_bytes({"time [s]": [0, 0.001], "heron.lift [mm]": [0, 13.98123456]}).decode())
    time [s],heron.lift [mm]
    0,0
    0.001,13.98123
    """
    # Seven digits: finer than any measure can be trusted, coarse enough to read.
    texts = [
        [
            "" if value != value else f"{value:.7g}"
            for value in np.asarray(values, np.float64).tolist()
        ]
        for values in columns.values()
    ]
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(zip(*texts, strict=True))
    return text.getvalue().encode("utf-8")
