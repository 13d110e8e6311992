#!/usr/bin/env python3
"""The codes beside the dig points, read off the sheets by a reader of QR codes that is not ours, against the exported positions.

usage: geo_codes.py SWINGTIE SOURCE_FOLDER

Every sample that says where on Earth it is, and one lot with three dig points: the dig sheet as PNG, as PDF through a renderer of
its own, and as a phone held askew might see the paper. Each dig point must have one code, a `geo` URI (RFC 5870) with latitude and
longitude in WGS 84 as the GeoJSON has them, and the uncertainty in metres. A sheet without a position on Earth must have no code.
Ends with 77 where zbarimg (zbar-tools) or pdftoppm (poppler-utils) is not installed.
"""
import json
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

swingtie, source = sys.argv[1], pathlib.Path(sys.argv[2])
for program in ("zbarimg", "pdftoppm"):
    if shutil.which(program) is None:
        print(f"skipped: no {program}")
        sys.exit(77)
scratch = tempfile.TemporaryDirectory()
folder = pathlib.Path(scratch.name)
metres_per = {"m": 1, "ft": 0.3048, "us-ft": 1200 / 3937}
faults = []


def run(*words):
    # 1: done, but the readings contradict each other.
    ended = subprocess.run([str(word) for word in words], capture_output=True)
    if ended.returncode not in (0, 1):
        sys.exit(f"{' '.join(map(str, words))} ended with {ended.returncode}: {ended.stderr.decode()}")


def codes(pictures):
    """What the reader finds in the pictures: one string for each code. It ends with 4 when there is none."""
    found = []
    for picture in pictures:
        ended = subprocess.run(["zbarimg", "--quiet", "--raw", "--nodbus", "-Sdisable", "-Sqrcode.enable", picture], capture_output=True)
        if ended.returncode not in (0, 4):
            sys.exit(f"zbarimg ended with {ended.returncode}: {ended.stderr.decode()}")
        found += ended.stdout.decode().split()
    return found


def pictures_of(job, name):
    """The dig sheet three ways, each a list of pages."""
    png, pdf = folder / f"{name}.png", folder / f"{name}.pdf"
    run(swingtie, "draw", job, "-o", png, "--sheet", "dig", "--dpi", "150")
    run(swingtie, "draw", job, "-o", pdf, "--sheet", "dig")
    run("pdftoppm", "-r", "200", "-png", pdf, folder / f"{name}-page")
    own = sorted(folder.glob(f"{name}.png")) + sorted(p for p in folder.glob(f"{name}-*.png") if "-page" not in p.name)
    pages = sorted(folder.glob(f"{name}-page*.png"))
    ways = {"PNG": own, "PDF": pages}
    # As the paper lies before a phone; two sheets of it are enough, since it takes longest.
    if shutil.which("convert") and name in ("basement-house", "several"):
        askew = []
        for page in pages:
            seen = page.with_name(page.name.replace("-page", "-askew"))
            run("convert", page, "-colorspace", "Gray", "-background", "#c8c8c8", "-rotate", "11", "-blur", "0x0.8", "-brightness-contrast",
                "-10x-35", seen)
            askew.append(seen)
        ways["askew"] = askew
    return ways


def check(job, name, expected_at_least):
    geojson = folder / f"{name}.geojson"
    run(swingtie, "export", job, "-o", geojson)
    features = json.loads(geojson.read_text())["features"]
    points = [f for f in features if f["properties"]["layer"] == "items" and f["properties"].get("act") == "dig"]
    windows = [f["properties"] for f in features if f["properties"]["layer"] == "dig_windows"]
    if len(points) < expected_at_least:
        faults.append(f"{name}: {len(points)} dig points in the GeoJSON, {expected_at_least} expected")
    for way, pictures in pictures_of(job, name).items():
        read = codes(pictures)
        if len(read) != len(points):
            faults.append(f"{name}, {way}: {len(points)} dig points, {len(read)} codes read")
        for uri in read:
            parts = re.fullmatch(r"geo:(-?\d+\.\d+),(-?\d+\.\d+);u=(\d+\.\d+)", uri)
            if parts is None:
                faults.append(f"{name}, {way}: `{uri}` is not a geo URI with an uncertainty")
                continue
            latitude, longitude, uncertainty = map(float, parts.groups())
            # A code has seven decimals, the GeoJSON eight: half a unit of the seventh is 6 mm.
            near = [p for p in points if abs(p["geometry"]["coordinates"][1] - latitude) < 0.6e-7
                    and abs(p["geometry"]["coordinates"][0] - longitude) < 0.6e-7]
            if len(near) != 1:
                faults.append(f"{name}, {way}: `{uri}` is at none of {[p['geometry']['coordinates'] for p in points]}")
                continue
            of = near[0]["properties"]
            window = next(w for w in windows if (w["run"], w["at"]) == (of["run"], of["at"]))
            stated = window["acc_h95"] * metres_per[window["units"]]
            # A circle that holds the point with 95 % is at least as wide as the deviation along one axis, and no wider than the long
            # half-axis of the 95 % ellipse, which is 2.45 of them; rounded to 0.1 m.
            if not (stated / 2.45 - 0.06 <= uncertainty <= stated + 0.06):
                faults.append(f"{name}, {way}: uncertainty {uncertainty} m, the window's {stated:.2f} m")
        print(f"{name}, {way}: {', '.join(read)}")
    return len(points)


total = 0
for job in sorted(source.glob("samples/*/job.yaml")):
    name = job.parent.name
    text = job.read_text()
    on_earth = bool(re.search(r"^\s*(crs|anchor):", text, re.M))
    if on_earth:
        total += check(job, name, 1)
    else:
        for way, pictures in pictures_of(job, name).items():
            if codes(pictures):
                faults.append(f"{name}, {way}: a code on the sheet of a lot without a position on Earth")
        print(f"{name}: not on Earth, no code")

several = folder / "several.yaml"
several.write_text("""
swingtie: 1
site: {name: Three holes, units: ft, anchor: {grid: [0, 0], lat: 41.1, lon: -81.5, grid_north: 0, within: 6}}
features:
  - {id: house, kind: house, walls: {start: [0, 0], heading: N, legs: ["26", "R 30", "R 26", "R 30"], corners: [sw, nw, ne, se]}}
  - {id: curb, kind: curb, line: [[-40, -62], [70, -62]]}
runs:
  - id: R1
    from: {at: [15, -1], drop: 4}
    log:
      - {at: 0, pipe: 4 in clay}
      - {at: 12, see: roots, act: dig}
      - {at: 30, see: break, act: dig}
      - {at: 48, see: offset, act: dig}
      - {at: 66, end: main}
    locates:
      - {at: 11, position: [15, -12], depth: 4.2}
      - {at: 29, position: [15, -30], depth: 4.6}
      - {at: 47, position: [15, -48], depth: 5}
      - {at: 64, position: [15, -65], depth: 5.4}
""")
total += check(several, "several", 3)
print(f"{total} dig points, {len(faults)} faults")
for fault in faults:
    print(fault, file=sys.stderr)
sys.exit(1 if faults or total < 8 else 0)
