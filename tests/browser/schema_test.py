# SPDX-License-Identifier: GPL-3.0-or-later
"""The JSON of sample reports against the schema, by python3-jsonschema."""
import copy
import json
import os
import unittest
from pathlib import Path

import jsonschema

REPORTS = Path(os.environ["BASEFOG_REPORTS"])
SCHEMA = json.loads(Path(os.environ["BASEFOG_SCHEMA"]).read_text(encoding="utf-8"))
FILES = ["sample.json", "nolog.json", "colour.json", "empty.json", "roll/review.json"]


def load(name):
    return json.loads((REPORTS / name).read_text(encoding="utf-8"))


def properties(node, path=""):
    """Every property that the schema names, with its path."""
    if isinstance(node, dict):
        for name, value in node.get("properties", {}).items():
            yield f"{path}/{name}", value
        for key, value in node.items():
            yield from properties(value, f"{path}/{key}")
    elif isinstance(node, list):
        for value in node:
            yield from properties(value, path)


def measured(review):
    return next(f for f in review["frames"] if "exposure" in f and "correction" in f)


def spoil(change):
    review = copy.deepcopy(load("sample.json"))
    change(review)
    return review


SPOILED = {
    "an unknown name": lambda r: measured(r).update(extra=1),
    "a missing state": lambda r: measured(r).pop("state"),
    "a null instead of nothing": lambda r: measured(r).update(exposure=None),
    "an interval with no end": lambda r: measured(r)["exposure"].update(ci95=[None, None]),
    "an interval of three": lambda r: measured(r)["exposure"].update(ci95=[0, 1, 2]),
    "a verdict without a correction": lambda r: measured(r).pop("correction"),
    "another schema": lambda r: r.update(schema="basefog.review/2"),
}


class Schema(unittest.TestCase):
    def setUp(self):
        jsonschema.Draft7Validator.check_schema(SCHEMA)
        self.validator = jsonschema.Draft7Validator(SCHEMA)

    def test_every_report_is_valid(self):
        for name in FILES:
            with self.subTest(name):
                errors = [f"{list(e.path)}: {e.message}" for e in self.validator.iter_errors(load(name))]
                self.assertEqual(errors, [])

    def test_what_is_wrong_is_refused(self):
        for what, change in SPOILED.items():
            with self.subTest(what):
                self.assertFalse(self.validator.is_valid(spoil(change)))

    def test_every_name_is_explained(self):
        for path, value in properties(SCHEMA):
            with self.subTest(path):
                named = SCHEMA["definitions"].get(value.get("$ref", "").split("/")[-1], {})
                self.assertTrue("description" in value or "description" in named)

    def test_no_object_takes_names_that_are_not_in_the_schema(self):
        def objects(node):
            if isinstance(node, dict):
                if node.get("type") == "object":
                    yield node
                for value in node.values():
                    yield from objects(value)
            elif isinstance(node, list):
                for value in node:
                    yield from objects(value)

        for node in objects(SCHEMA):
            # Either all names are known, or each stands for one kind of value.
            more = node.get("additionalProperties")
            self.assertTrue(more is False or (isinstance(more, dict) and "properties" not in node), node)


if __name__ == "__main__":
    unittest.main()
