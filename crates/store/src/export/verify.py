"""Checks this export without the program that wrote it: python3 verify.py

Needs nothing beyond Python 3.6. How the hashes are made stands in README.txt.
"""
import hashlib
import json
import os
import sys

FOLDER = os.path.dirname(os.path.abspath(__file__))
START = "0" * 64


def sha256(data):
    return hashlib.sha256(data).hexdigest()


def encoded(*fields):
    data = b""
    for field in fields:
        value = "" if field is None else str(field)
        value = value.encode("utf-8")
        data += str(len(value)).encode("ascii") + b":" + value + b","
    return data


def lines(name):
    with open(os.path.join(FOLDER, name), encoding="utf-8", newline="\n") as file:
        return [line.rstrip("\n") for line in file]


def check(holds, what):
    if not holds:
        sys.exit("BROKEN: " + what)


previous = START
versions = lines("documents.jsonl")
for number, line in enumerate(versions, 1):
    d = json.loads(line)
    with open(os.path.join(FOLDER, "document-%d.toml" % number), "rb") as file:
        text_hash = sha256(file.read())
    check(d["version"] == number and d["previous"] == previous and d["sha256"] == text_hash,
          "document version %d" % number)
    previous = sha256(encoded("crosshatch-document/1", d["engine"], d["version"], d["sha256"], d["who"],
                              d["when"], d["based_on"], d["note"], d["previous"]))
    check(previous == d["hash"], "hash of document version %d" % number)
document_head = previous

previous = START
entries = lines("log.jsonl")
for number, line in enumerate(entries, 1):
    # The body is the rest of the line after the first ,"body": without the last brace.
    front, body = line.split(',"body":', 1)
    e, body = json.loads(front + "}"), body[:-1]
    check(e["sequence"] == number and e["previous"] == previous, "log entry %d" % number)
    previous = sha256(encoded("crosshatch-entry/1", e["engine"], e["sequence"], e["kind"], e["who"],
                              e["when"], e["delivery_key"], e["previous"], body))
    check(previous == e["hash"], "hash of log entry %d" % number)

results = lines("results.jsonl") if os.path.exists(os.path.join(FOLDER, "results.jsonl")) else []
for number, line in enumerate(results, 1):
    r = json.loads(line)
    with open(os.path.join(FOLDER, "result-%d.json" % number), "rb") as file:
        check(r["number"] == number and r["sha256"] == sha256(file.read()), "result %d" % number)

cover = json.loads("\n".join(lines("engine.json")))
check((cover["entries"], cover["log"]) == (len(entries), previous), "the end of the log is not that of engine.json")
check((cover["documents"], cover["document"]) == (len(versions), document_head),
      "the last document version is not that of engine.json")
print("ok: %d log entries, last hash %s" % (len(entries), previous))
print("ok: %d document versions, last hash %s" % (len(versions), document_head))
