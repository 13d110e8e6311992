"""The JSON Schema and the reader agree, by a validator that is not ours.

usage: schema_agrees.py SCHEMA JOB...

SCHEMA is what the program prints. A job under a folder named `wrong` must be refused unless its mistake is one of
those below, which lie inside a value or between two values, where a schema does not look. Every other job must pass.
Exit code 77, for "skipped", where the validator or the YAML reader is not installed.
"""

import json
import pathlib
import sys

try:
    import jsonschema
    import yaml
except ImportError as missing:
    print(f"skipped: {missing}")
    sys.exit(77)

INSIDE_A_VALUE = """
bearing-of-no-quadrant bearing-with-sixty-minutes bend-of-an-unknown-hand bend-too-sharp camera-without-its-unit
clean-out-without-its-id corner-name-with-a-hyphen corner-named-twice counter-zero-nowhere date-that-is-none deed-arc-without-a-length
deed-call-without-a-distance depth-without-a-reading
id-with-a-space kind-of-another-geometry length-absurd length-infinite length-not-a-number
length-of-two-readings length-with-a-comma length-with-an-exponent metric-trunk-without-its-unit
more-inches-than-a-foot more-names-than-corners negative-depth not-a-length offset-along-a-line-from-nowhere
offset-inside-a-line offset-that-is-negative pipe-size-without-its-unit private-until-a-typo side-of-no-direction
tie-from-an-edge trunk-without-its-unit unknown-unit-of-length wall-leg-without-a-length
windows-line-ends-and-a-mark
""".split()

# What YAML itself, or the bytes, already forbid; and keys given twice, which other readers let pass.
NOT_YAML_TO_US = "key-given-twice a-tag control-character number-after-a-hash-is-a-comment tabs-indent-many-lines".split()


class Loader(yaml.SafeLoader):
    """YAML 1.2 as JSON sees it: no dates, no base 60, only true and false."""


Loader.yaml_implicit_resolvers = {
    first: [(tag, regexp) for tag, regexp in resolvers if tag.endswith((":null", ":float"))]
    for first, resolvers in yaml.SafeLoader.yaml_implicit_resolvers.items()
}
Loader.add_implicit_resolver("tag:yaml.org,2002:int", __import__("re").compile(r"^[-+]?[0-9]+$"), list("-+0123456789"))
Loader.add_implicit_resolver("tag:yaml.org,2002:bool", __import__("re").compile(r"^(true|false)$"), list("tf"))


def main():
    schema = json.loads(pathlib.Path(sys.argv[1]).read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    faults = []
    for name in sys.argv[2:]:
        path = pathlib.Path(name)
        wrong = path.parent.name == "wrong" and not path.name.startswith("place-")
        try:
            job = yaml.load(path.read_bytes(), Loader)
        except (yaml.YAMLError, UnicodeError, RecursionError):
            job = None
            if not wrong:
                faults.append(f"{name}: is not YAML")
                continue
        problems = [] if job is None else [e.message[:200] for e in validator.iter_errors(job)]
        refused = job is None or bool(problems)
        if not wrong and refused:
            faults.append(f"{name}: refused: {problems[0]}")
        elif wrong and path.stem not in NOT_YAML_TO_US and refused == (path.stem in INSIDE_A_VALUE):
            faults.append(f"{name}: {'refused' if refused else 'passed'}, against the list")
    print("\n".join(faults) or f"{len(sys.argv) - 2} jobs agree")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
