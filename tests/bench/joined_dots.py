#!/usr/bin/python3
"""The plain way to draw a lateral, for comparison: tie points by least squares, straight lines between the locates.

Reads the kinds of positions that the basement-house sample uses, joins the access and the locates by counter, and draws the
plan to scale in one PDF. No adjustment, no uncertainty, no profile, no tables. Needs numpy, scipy, shapely, matplotlib and
PyYAML of Debian 12.

usage: joined_dots.py JOB.yaml OUT.pdf
"""
import re
import sys

import matplotlib

matplotlib.use("Agg")
import matplotlib.pyplot as plt
import numpy as np
import yaml
from scipy.interpolate import interp1d
from scipy.optimize import least_squares
from shapely.geometry import LineString, Point, Polygon
from shapely.ops import nearest_points


def feet(value):
    """A length in feet from 12.5, `12.5`, `40'8"`, `14'3 1/2"` or `6 in`."""
    if isinstance(value, (int, float)):
        return float(value)
    text = str(value).strip()
    if match := re.fullmatch(r"([\d./]+) in", text):
        return float(match[1]) / 12
    if match := re.fullmatch(r"(\d+)'(?:(\d+)(?: (\d+)/(\d+))?\")?", text):
        whole, inches, above, below = match.groups()
        part = int(above) / int(below) if above else 0
        return int(whole) + (int(inches or 0) + part) / 12
    return float(text)


def azimuth(text):
    """Radians clockwise from north of a quadrant bearing `N 12 15 00 E`."""
    north, *angle, east = text.split()
    degrees = sum(float(a) / 60**i for i, a in enumerate(angle))
    if north == "S":
        degrees = 180 - degrees
    return np.radians(-degrees if east == "W" else degrees)


def step(a):
    return np.array([np.sin(a), np.cos(a)])


class Plan:
    def __init__(self, job):
        self.corners, self.shapes = {}, {}
        for feature in job["features"]:
            self.add(feature)

    def add(self, feature):
        name = feature["id"]
        if "deed" in feature:
            deed = feature["deed"]
            points = [np.array(deed["start"], float)]
            for call in deed["calls"]:
                bearing, length = call.rsplit(" ", 1)
                points.append(points[-1] + float(length) * step(azimuth(bearing)))
            self.area(name, points[:-1], deed["corners"])
        elif "walls" in feature:
            walls = feature["walls"]
            a = azimuth(walls["heading"])
            points = [self.position(walls["start"])]
            for leg in walls["legs"]:
                turn, length = re.fullmatch(r"([RL]?) ?(\S+)", leg).groups()
                a += {"R": np.pi / 2, "L": -np.pi / 2, "": 0}[turn]
                points.append(points[-1] + feet(length) * step(a))
            self.area(name, points[:-1], walls["corners"])
        elif "area" in feature:
            self.area(name, [np.array(p, float) for p in feature["area"]], feature.get("corners"))
        elif "line" in feature:
            points = np.array(feature["line"], float)
            for i, p in enumerate(points):
                self.corners[f"{name}.{i + 1}"] = p
            self.shapes[name] = LineString(points)
        elif "offset" in feature:
            offset = feature["offset"]
            base, toward = self.shapes[offset["from"]], self.shapes[offset["toward"]]
            sides = [base.parallel_offset(feet(offset["by"]), side) for side in ("left", "right")]
            self.shapes[name] = min(sides, key=toward.distance)
        else:
            self.corners[name] = self.position(feature["at"])
            self.shapes[name] = Point(self.corners[name])

    def area(self, name, points, names):
        for i, p in enumerate(points):
            self.corners[f"{name}.{names[i] if names else i + 1}"] = p
        self.shapes[name] = Polygon(points)

    def position(self, recipe):
        if isinstance(recipe, list):
            return np.array(recipe, float)
        if "ties" in recipe:
            ties = [(self.corners[k], feet(v)) for k, v in recipe["ties"].items()]
            centre = sum(p for p, _ in ties) / len(ties)
            goal = nearest_points(self.shapes[recipe["side"].split()[-1]], Point(centre))[0]
            way = np.array([goal.x, goal.y]) - centre
            start = centre + way / np.linalg.norm(way) * ties[0][1]
            return least_squares(lambda p: [np.linalg.norm(p - q) - d for q, d in ties], start).x
        if "along" in recipe:
            name, edge = recipe["along"].split(".")
            a, b = (self.corners[f"{name}.{c}"] for c in edge.split("-"))
            along = (b - a) / np.linalg.norm(b - a)
            inward = np.array([along[1], -along[0]])
            middle = np.array(self.shapes[name].centroid.coords[0])
            if inward @ (middle - a) < 0:
                inward = -inward
            off = feet(recipe.get("in", 0)) - feet(recipe.get("out", 0))
            return self.corners[recipe["from"]] + feet(recipe["go"]) * along + off * inward
        if "off" in recipe:
            line = np.array(self.shapes[recipe["off"]].coords)
            along = (line[-1] - line[0]) / np.linalg.norm(line[-1] - line[0])
            right = np.array([along[1], -along[0]])
            off = feet(recipe.get("right", 0)) - feet(recipe.get("left", 0))
            return self.corners[recipe["from"]] + feet(recipe["go"]) * along + off * right
        raise ValueError(f"no such position: {recipe}")


def main(job_path, out_path):
    # `off` is a key here, not the truth value of YAML 1.1.
    for letter in "oO":
        yaml.SafeLoader.yaml_implicit_resolvers.pop(letter, None)
    with open(job_path, encoding="utf-8") as file:
        job = yaml.safe_load(file)
    plan = Plan(job)
    figure, axes = plt.subplots(figsize=(11, 8.5))
    for name, shape in plan.shapes.items():
        if isinstance(shape, Polygon):
            axes.fill(*shape.exterior.xy, facecolor="0.93", edgecolor="0.3", linewidth=0.8)
            axes.text(*shape.centroid.coords[0], name, ha="center", fontsize=7)
        elif isinstance(shape, LineString):
            axes.plot(*shape.xy, color="0.4", linewidth=0.8)
            axes.text(*shape.coords[0], name, fontsize=7)
        else:
            axes.plot(*shape.coords[0], "o", color="0.4", markersize=4)
            axes.text(shape.x + 1, shape.y + 1, name, fontsize=7)
    for run in job["runs"]:
        counters, points = [0.0], [plan.position(run["from"]["at"])]
        for locate in run["locates"]:
            counters.append(feet(locate["at"]))
            points.append(plan.position(locate["position"]))
        points = np.array(points)
        route = interp1d(counters, points, axis=0, fill_value="extrapolate")
        axes.plot(points[:, 0], points[:, 1], "-o", color="tab:green", markersize=3)
        for item in run["log"]:
            here = route(feet(item["at"]))
            words = item.get("see") or item.get("bend") or item.get("pipe") or item.get("end")
            axes.annotate(f"{item['at']} {words}", here, xytext=(12, 4), textcoords="offset points", fontsize=6)
            if item.get("act") == "dig":
                axes.fill(*Point(here).buffer(3).exterior.xy, fill=False, edgecolor="tab:red")
    axes.set_aspect("equal")
    axes.set_title(job["site"]["name"])
    axes.grid(True, linewidth=0.2)
    figure.savefig(out_path)


if __name__ == "__main__":
    if len(sys.argv) != 3:
        sys.exit(__doc__)
    main(sys.argv[1], sys.argv[2])
