"""Writes every file of reference/data/: python reference/generate.py --out DIR

Each script beside this one is a module with `files() -> dict[name, text]`. The output must be the same on every
machine: integers as they are, floats with twelve significant digits.
"""

import argparse
import importlib
import pathlib
import sys

SCRIPTS = ["kinematics", "compression", "selection", "document_schema", "gas", "wave_tuning", "closed_cycle"]


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", required=True, type=pathlib.Path, help="folder to write to")
    out = parser.parse_args().out
    out.mkdir(parents=True, exist_ok=True)
    sys.path.insert(0, str(pathlib.Path(__file__).parent))
    for script in SCRIPTS:
        for name, text in importlib.import_module(script).files().items():
            (out / name).write_text(text, encoding="utf-8", newline="\n")
            print(f"{script}: {name}")


if __name__ == "__main__":
    main()
