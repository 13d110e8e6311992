#!/usr/bin/env python3
"""Three hundred bad inputs and what each got: prints a table, and fails when one was taken, crashed or went without words.

usage: bad_inputs.py SWINGTIE SOURCE_FOLDER

The wrong jobs kept beside tests/job; one good job with one value changed at a time; damaged, hostile and absent map files;
styles, rule sets and spreadsheets; command lines. Each must end with 2 (wrong input) or 3 (cannot write), within its limits
of time and memory, and say so in words that begin with `error:`.
"""
import pathlib
import random
import resource
import subprocess
import sys
import tempfile

swingtie, source = sys.argv[1], pathlib.Path(sys.argv[2])
scratch = tempfile.TemporaryDirectory()
folder = pathlib.Path(scratch.name)
rows, faults = [], []
limit_memory = "--no-memory-limit" not in sys.argv  # sanitizers reserve more addresses than any limit allows


def limits():
    if limit_memory:
        resource.setrlimit(resource.RLIMIT_AS, (2 << 30, 2 << 30))


def run(kind, name, *words, stdin=None):
    """One bad input: its row, and a fault if it did not get what a bad input must get."""
    try:
        ended = subprocess.run([swingtie, *map(str, words)], input=stdin, capture_output=True, timeout=60, cwd=folder,
                               preexec_fn=limits)
        code, said = ended.returncode, ended.stderr.decode("utf-8", "replace")
    except subprocess.TimeoutExpired:
        code, said = "none in 60 s", ""
    first = next((line for line in said.splitlines() if line.startswith("error")), "")
    rows.append((kind, name, code, first.removeprefix("error: ").replace(str(folder) + "/", "").replace("|", "\\|")))
    if code not in (2, 3) or not first:
        faults.append(f"{kind}: {name}: exit code {code}, said {said[:200]!r}")


def written(name, content):
    path = folder / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return path


for job in sorted((source / "tests/job/wrong").glob("*.yaml")):
    run("job kept wrong", job.stem, "check", job)

# One value of a good job at a time, by what cannot stand there.
good = (source / "samples/basement-house/job.yaml").read_text()
run_of_words = {
    "a number that is none": ".nan", "a number without end": "1e999", "a word": "xyzzy", "nothing": "", "a list": "[[]]",
    "an open quote": '"', "a map": "{a: b}"}
places = {
    "lot.start": "[1002.55, 1011.73]", "lot.calls": '"N 12 15 00 E 118.00"', "house.heading": "N 12 15 00 E\n",
    "house.legs": '"R 30"', "walls.go": "14, in: 30", "curb.line": "975.57", "offset.by": "by: 12,", "maple.tie": "23'8\"",
    "maple.trunk": "22 in,", "hydrant.at": "1051.35", "water.depth": "depth: 4.5", "run.drop": "drop: 1.2",
    "run.within": "within: 0.5}", "camera.sonde": "11 in}", "log.at": "at: 15.1", "log.bend": "right 45}",
    "log.pipe": "6 in clay", "log.act": "act: dig", "locate.at": "at: 17.3", "locate.tie": "15'0\"",
    "locate.depth": "depth: 6.7", "locate.along": "along: 7.3", "locate.go": "go: 33.9", "anchor.lat": "40.8731"}
for place, text in places.items():
    key, _, value = text.partition(": ") if text.split(":")[0].isidentifier() and ": " in text else ("", "", text)
    end = next((c for c in (",", "}", "\n") if value.endswith(c)), "")
    if "in: 30" in text:
        value, end = "14", ", in: 30"
        text = "go: 14, in: 30"
        key = "go"
    for name, wrong in run_of_words.items():
        changed = good.replace(text, (key + ": " if key else "") + wrong + end, 1)
        assert changed != good, place
        if place == "log.pipe" and name in ("a word", "a number that is none"):
            continue  # a material may have any name
        run("value in a job", f"{place} is {name}", "check", "-", stdin=changed.encode())

# Map files.
lot = "swingtie: 1\nsite: {name: x, units: us-ft, crs: EPSG:2272}\nfeatures:\n  - {id: lot, kind: lot, file: {%s}}\n" \
      "runs:\n  - id: R1\n    from: {at: lot.1, what: clean-out, drop: 1}\n    log: [{at: 0, pipe: 4 in clay}, {at: 20, end: city main}]\n"
parcels = (source / "samples/row-house/parcels.gpkg").read_bytes()
written("cut.gpkg", parcels[: len(parcels) // 3])
written("empty.gpkg", b"")
written("text.gpkg", "not a database")
noise = random.Random(5)
damaged = bytearray(parcels)
for _ in range(2000):
    damaged[noise.randrange(100, len(damaged))] = noise.randrange(256)
written("damaged.gpkg", bytes(damaged))
ring = "[[-75,40],[-75,40.001],[-75.001,40.001],[-75,40]]"
polygon = '{"type":"Feature","properties":{"pin":"1"},"geometry":{"type":"Polygon","coordinates":[%s]}}'
maps = {
    "cut.geojson": polygon[:60], "empty.geojson": "", "list.geojson": "[]", "no-features.geojson": '{"type":"FeatureCollection","features":[]}',
    "null.geojson": '{"type":"Feature","properties":{},"geometry":null}', "point.geojson": '{"type":"Point","coordinates":[-75,40]}',
    "nan.geojson": polygon % ring.replace("40.001", "NaN"), "huge.geojson": polygon % ring.replace("40.001", "1e308"),
    "outside.geojson": polygon % ring.replace("40", "95"),
    "one-corner.geojson": polygon % "[[-75,40]]", "deep.geojson": "[" * 100000, "two.geojson": '{"type":"FeatureCollection","features":[%s,%s]}' % (polygon % ring, polygon % ring),
    "vertices.geojson": polygon % ("[" + ",".join(f"[-75.{i % 1000:06d},40.{i % 997:06d}]" for i in range(1100000)) + "]"),
    "raw.vrt": "<OGRVRTDataSource><OGRVRTLayer name='x'><SrcDataSource>/etc/passwd</SrcDataSource></OGRVRTLayer></OGRVRTDataSource>",
    "page.html": "<html></html>"}
for name, text in maps.items():
    written(name, text)
for name in [*maps, "cut.gpkg", "empty.gpkg", "text.gpkg", "damaged.gpkg", "absent.gpkg", "/etc", "/dev/null", "/dev/zero",
             "/vsicurl/http://localhost:1/x.gpkg", "/vsizip/x.zip/x.shp", "http://localhost:1/x.geojson", "PG:dbname=x", "//x/y.shp"]:
    run("map file", name, "check", "-", stdin=(lot % f"path: '{name}'").encode())
sample = source / "samples/row-house/parcels.gpkg"
for name, where in {"a layer that is not there": "layer: roads", "a condition that is none": "layer: parcels, where: \"pin = = 1\"",
                    "a condition on no column": "layer: parcels, where: \"nope = 1\"", "a condition that nothing meets": "layer: parcels, where: \"pin = 'x'\"",
                    "a condition that runs another command": "layer: parcels, where: \"1=1; DROP TABLE parcels\"", "all of many": "layer: parcels"}.items():
    run("map file", name, "check", "-", stdin=(lot % f"path: '{sample}', {where}").encode())
for name, dem in {"a height model that is not there": "absent.tif", "a height model of text": "page.html"}.items():
    run("map file", name, "check", "-", stdin=good.replace("runs:", f"ground: {{dem: {{path: '{dem}'}}}}\nruns:", 1).encode())

# Styles and rule sets.
plan = ["draw", source / "samples/basement-house/job.yaml", "-o", "plan.svg"]
for name, text in {"a key of none": "lookz: {}", "a colour of none": "looks: {house: {fill: blueish}}", "a width of none": "looks: {house: {line: '#000000', width: wide}}",
                   "a negative width": "looks: {house: {line: '#000000', width: -1}}", "a type too small": "types: {note: {size: 1}}", "no style": "[]",
                   "based on nothing": "based-on: nowhere", "bytes": "\0\1\2", "an open bracket": "looks: {", "itself in itself": "looks: &a {house: *a}"}.items():
    run("style", name, *plan, "--style", written("style.yaml", text))
run("style", "absent", *plan, "--style", "absent.yaml")
for name, text in {"empty": "", "a key of none": "rules: x\nnope: 1", "a unit of none": "rules: x\nunits: furlong", "bytes": "\0\1", "no map": "- 1",
                   "a slope of none": "rules: x\nslopes: {a: steep}", "an open bracket": "rules: ["}.items():
    run("rule set", name, "check", source / "samples/basement-house/job.yaml", "--rules", written("rules.yaml", text))
run("rule set", "absent", "check", source / "samples/basement-house/job.yaml", "--rules", "absent.yaml")

# Spreadsheets of `new`.
for name, text in {"empty": "", "no counter": "a,b\n1,2\n", "only a header": "counter,see\n", "bytes": b"\0\1\2\3"}.items():
    run("spreadsheet", name, "new", folder / f"new-{name}", "--log", written("log.csv", text))
run("spreadsheet", "absent", "new", folder / "new-absent", "--log", "absent.csv")

# Command lines.
job = source / "samples/basement-house/job.yaml"
for words in (["dig"], ["chek", job], ["check"], ["check", job, job], ["check", "absent.yaml"], ["check", folder], ["check", "/dev/full"],
              ["check", job, "--sure", "2"], ["check", job, "--sure", "much"], ["check", job, "--nope"], ["check", job, "--sure"],
              ["draw", job], ["draw", job, "-o", "plan.doc"], ["draw", job, "-o", "plan"], ["draw", job, "-o", "-"], ["draw", job, "-o", "-", "--as", "doc"],
              ["draw", job, "-o", "x.pdf", "--sheet", "all"], ["draw", job, "-o", "x.pdf", "--scale", "1:0"], ["draw", job, "-o", "x.pdf", "--scale", "big"],
              ["draw", job, "-o", "x.pdf", "--scale", "1:-20"], ["draw", job, "-o", "x.pdf", "--paper", "napkin"], ["draw", job, "-o", "x.png", "--dpi", "1"],
              ["draw", job, "-o", "x.png", "--dpi", "99999"], ["draw", job, "-o", "absent/x.pdf"], ["draw", job, "-o", "/proc/x.pdf"], ["draw", job, "-o", folder],
              ["export", job], ["export", job, "-o", "x.xls"], ["export", job, "-o", "-", "--as", "xls"], ["export", job, "--to", "PG:host=/absent dbname=x"],
              ["export", job, "--to", "sqlite:x"], ["export", "-o", "x.gpkg"], ["tell", job, "--for", "neighbour"], ["tell"], ["compare", job],
              ["compare", job, "absent.yaml"], ["batch", folder / "none", "-o", "out"], ["batch", job], ["batch", job, "-o", "out", "--formats", "doc"],
              ["batch", job, "-o", "out", "--jobs", "0"], ["batch", job, "-o", "out", "--shard", "3/2"], ["batch", job, "-o", "out", "--shard", "x"],
              ["batch", job, "-o", "out", "--timeout", "-1"], ["new"], ["new", folder / "lot", "--lot", "absent.gpkg", "--at", "41,-81"],
              ["new", folder / "lot", "--lot", sample], ["new", folder / "lot", "--lot", sample, "--at", "x"], ["completions", "tcsh"], ["completions"],
              ["schema", "--nope"], ["serve", "absent"], ["serve", "--port", "99999"], ["serve", "--port", "x"]):
    shown = " ".join(str(word).replace(str(folder), "FOLDER").replace(str(source) + "/", "") for word in words)
    run("command line", f"`{shown}`", *words)

print("| kind | input | exit code | what it got |\n|---|---|---|---|")
for row in rows:
    print("| {} | {} | {} | {} |".format(*row))
print(f"\n{len(rows)} bad inputs, {len(faults)} of them badly met")
for fault in faults:
    print(fault, file=sys.stderr)
sys.exit(1 if faults or len(rows) < 300 else 0)
