"""A notebook's file against its schema, by a validator that is not ours."""

import json
import unittest

import jsonschema
import riffloom

DATA = riffloom.ROOT / "tests" / "data"


class NotebookFile(unittest.TestCase):
    def setUp(self):
        schema = json.loads((DATA / "notebook.schema.json").read_text())
        jsonschema.Draft202012Validator.check_schema(schema)
        self.validator = jsonschema.Draft202012Validator(schema)
        self.file = json.loads((DATA / "records" / "notebook-1.json").read_text())

    def test_the_first_versions_file_is_valid(self):
        self.assertEqual([error.message for error in self.validator.iter_errors(self.file)], [])

    def test_a_lesson_or_answer_in_it_is_valid(self):
        record = json.loads((DATA / "records" / "class.json").read_text())

        def is_valid(record):
            return self.validator.is_valid(self.file | {"records": self.file["records"] | {"class-0000000000000009": record}})

        self.assertTrue(is_valid(record))
        self.assertFalse(is_valid(record | {"link": "not a link"}))
        self.assertFalse(is_valid(record | {"marks": -1}))

    def test_labels_and_earlier_versions_in_it_are_valid(self):
        riff, versions = (json.loads((DATA / "records" / f"{name}.json").read_text()) for name in ("riff-labelled", "versions"))

        def is_valid(riff, versions):
            records = {"0000000000000005": riff, "versions-0000000000000005": versions}
            return self.validator.is_valid(self.file | {"records": self.file["records"] | records})

        self.assertTrue(is_valid(riff, versions))
        self.assertFalse(is_valid(riff | {"labels": ["slow", "slow"]}, versions))
        self.assertFalse(is_valid(riff | {"labels": ["x" * 31]}, versions))
        self.assertFalse(is_valid(riff, versions | {"versions": [{"day": 1}]}))
        self.assertFalse(is_valid(riff, versions | {"versions": versions["versions"] * 5}))

    def test_a_broken_file_is_not(self):
        def broken(change):
            file = json.loads(json.dumps(self.file))
            change(file["records"])
            return not self.validator.is_valid(file)

        riff = "0000000000000002"
        self.assertTrue(broken(lambda records: records[riff].pop("notes")))
        self.assertTrue(broken(lambda records: records[riff]["notes"][0].update(pitch="H4")))
        self.assertTrue(broken(lambda records: records[riff].update(divisions=[0])))
        self.assertTrue(broken(lambda records: records["tune"].update(tempo=4000)))
        self.assertTrue(broken(lambda records: records.update({"past-" + riff: {"version": 1, "riff": riff, "passes": ["soon"]}})))
        self.assertTrue(broken(lambda records: records.update(order=[riff])))
