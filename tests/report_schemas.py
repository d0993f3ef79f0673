"""Validates every report in a folder; see report_schemas."""

import json
import sys
from pathlib import Path

from jsonschema import Draft7Validator
from junitparser import JUnitXml
from lxml import etree

folder = Path(sys.argv[1])
schemas = Path(__file__).parent / "schemas"
faults = []

xsd = etree.XMLSchema(etree.parse(schemas / "junit-10.xsd"))
reports = sorted(folder.glob("*.xml"))
for report in reports:
    document = etree.parse(report)
    if not xsd.validate(document):
        faults += [f"{report.name}: {fault}" for fault in xsd.error_log]
    read = JUnitXml.fromfile(str(report))
    for suite, element in zip(read, document.getroot(), strict=True):
        cases = list(suite)
        counted = {
            "tests": len(cases),
            "failures": sum(case.is_failure for case in cases),
            "errors": sum(case.is_error for case in cases),
            "skipped": sum(case.is_skipped for case in cases),
        }
        for name, number in counted.items():
            if element.get(name) != str(number):
                faults.append(f"{report.name}: {suite.name}: {name} is {element.get(name)}, a reader sees {number}")

# A report that is not valid has to be refused, or nothing was held against anything.
for good, bad in [(b"<failure ", b"<fault "), (b"classname=", b"klass="), (b' tests="', b' test="')]:
    shelf = (folder / "shelf.xml").read_bytes()
    assert good in shelf, good
    # The end tag goes with its beginning.
    spoilt = shelf.replace(good, bad).replace(b"</failure>", b"</fault>" if good == b"<failure " else b"</failure>")
    if xsd.validate(etree.fromstring(spoilt)):
        faults.append(f"a report with {bad!r} in it passes")

schema = json.loads((schemas / "sarif-schema-2.1.0.json").read_text())
sarif = Draft7Validator(schema, format_checker=Draft7Validator.FORMAT_CHECKER)
logs = sorted(folder.glob("*.sarif"))
for log in logs:
    faults += [f"{log.name}: {fault.json_path}: {fault.message}" for fault in sarif.iter_errors(json.loads(log.read_text()))]
spoilt = json.loads((folder / "shelf.sarif").read_text())
spoilt["runs"][0]["artifacts"][0]["location"]["uri"] = "a b"
if sarif.is_valid(spoilt):
    faults.append("a log with a space in a URI passes")

print(f"{len(reports)} JUnit reports, {len(logs)} SARIF logs")
for fault in faults:
    print(fault, file=sys.stderr)
sys.exit(1 if faults or len(reports) < 5 or len(logs) < 5 else 0)
