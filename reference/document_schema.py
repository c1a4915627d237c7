"""What a general JSON Schema validator says about the document fixtures and the examples.

Validator: the Python package jsonschema, draft 2020-12, on docs/schema/engine.schema.json. TOML is read by Python's own
tomllib. Each row is a place where the validator objects; list entries are counted from 1, as our diagnostics do. The
row "schema,," says that the schema itself passes the meta-schema of the draft.
"""

import json
import pathlib
import re
import tomllib

import jsonschema

from common import table

ROOT = pathlib.Path(__file__).parent.parent
FIXTURES = ["wrong_keys", "wrong_types", "wrong_sizes", "wrong_ranges", "wrong_records", "almost_empty", "no_version"]


def key(name):
    return name if re.fullmatch(r"[A-Za-z0-9_-]+", str(name)) else json.dumps(name)


def path(keys):
    return ".".join(str(k + 1) if isinstance(k, int) else key(k) for k in keys)


def objections(validator, file):
    # A date is text in JSON; the format wants text there too, so it stays an objection: no str() for dates.
    document = tomllib.loads(file.read_text(encoding="utf-8"))
    for error in validator.iter_errors(document):
        where = list(error.absolute_path)
        if error.validator == "additionalProperties":
            known = error.schema["properties"]
            yield from (path([*where, name]) for name in error.instance if name not in known)
        elif error.validator == "required":
            yield from (path([*where, name]) for name in error.validator_value if name not in error.instance)
        else:
            yield path(where)


def files():
    schema = json.loads((ROOT / "docs/schema/engine.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    rows = [("schema", "")]
    fixtures = [ROOT / f"crates/engine/tests/documents/{name}.toml" for name in FIXTURES]
    examples = sorted((ROOT / "examples").glob("*.toml"))
    for file in [*fixtures, *examples]:
        found = sorted(set(objections(validator, file)))
        rows += [(file.stem, where) for where in found] or [(file.stem, "")]
    return {"document_schema.csv": table(["file", "objection"], rows)}
