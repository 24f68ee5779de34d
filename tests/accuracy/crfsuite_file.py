"""The weights in a file that CRFsuite 0.12 wrote (its lib/crf/src/crf1d_model.c and lib/cqdb/src/cqdb.c): a header, the
weights, and two databases of names, of labels and of attributes."""

from __future__ import annotations

import struct
from pathlib import Path

import numpy as np

HEADER = struct.Struct("<4sI4s7I")  # magic, size, type, version, features, labels, attributes, three offsets
WEIGHT = np.dtype([("type", "<u4"), ("source", "<u4"), ("target", "<u4"), ("weight", "<f8")])
STATE = 0  # the type of a weight from an attribute to a label; others are from a label to the next one


def read_weights(path: Path) -> tuple[list[str], list[str], np.ndarray, np.ndarray]:
    """(labels, features, weights of features x labels, weights of steps from label to label)."""
    data = path.read_bytes()
    _, _, _, _, _, labels, attributes, weights_at, labels_at, attributes_at = HEADER.unpack_from(data)
    count = struct.unpack_from("<I", data, weights_at + 8)[0]
    weights = np.frombuffer(data, WEIGHT, count, weights_at + 12)
    of_state = weights["type"] == STATE
    tables = []
    for rows, chosen in ((attributes, weights[of_state]), (labels, weights[~of_state])):
        table = np.zeros((rows, labels))
        table[chosen["source"], chosen["target"]] = chosen["weight"]
        tables.append(table)
    return _names(data, labels_at, labels), _names(data, attributes_at, attributes), *tables


def _names(data: bytes, at: int, count: int) -> list[str]:
    """The names in the database at `at`, in the order of their numbers."""
    back_at = struct.unpack_from("<I", data, at + 20)[0]
    out = []
    for offset in struct.unpack_from(f"<{count}I", data, at + back_at):
        size = struct.unpack_from("<I", data, at + offset + 4)[0]
        begin = at + offset + 8
        out.append(data[begin : begin + size - 1].decode())
    return out
