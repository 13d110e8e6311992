// Validates a GeoJSON file by @placemarkio/check-geojson: prints every issue, ends with 1 when there is one.
import { readFileSync } from "node:fs";
import { check } from "@placemarkio/check-geojson";

try {
  check(readFileSync(process.argv[2], "utf8"));
} catch (error) {
  for (const issue of error.issues ?? [{ message: String(error) }]) console.log(issue.message);
  process.exit(1);
}
