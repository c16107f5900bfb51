# SPDX-License-Identifier: GPL-3.0-or-later
"""Makes the tables of what basefog was held against, from a run of the tests.

python3 held_against.py TREE REPORTS STUDY: TREE the source tree, REPORTS a folder of the test
programs' XML reports (--gtest_output=xml:REPORTS/), STUDY the table of scripts/validate or "-".
Rewrites, between their marks, the table of tests/validation/HELD_AGAINST.md and the summary in
README.md; the bibliography is in DEVELOPERS.md.

A test is held against a source where a comment right above it, within it, or above a constant or
function that it names, cites a [Key] of the bibliography; a comment at the top of a file speaks for
all tests in it. What was compared, how many numbers, the largest deviation for its tolerance and the
outcome are of the run.
"""
import re
import sys
import xml.etree.ElementTree as xml
from pathlib import Path

TEST = re.compile(r"^(?:TEST|TEST_F|TEST_P)\((\w+), (\w+)\)")


def bibliography(developers):
    section = developers.split("\n## Bibliography\n")[1].split("\n## ")[0]
    return dict(re.findall(r"^\| ([A-Z][\w.-]*) \| (.+) \|$", section, re.M))


def keys_in(text, known):
    found = []
    for bracket in re.findall(r"\[([^\]\n]+)\]", text):
        found += [word for word in re.split(r",\s*", bracket) if word in known]
    return found


def blocks(lines):
    """(comment, first line of code below, number of that line) of each comment of whole lines."""
    at = 0
    while at < len(lines):
        if not lines[at].lstrip().startswith("//"):
            at += 1
            continue
        start = at
        while at < len(lines) and lines[at].lstrip().startswith("//"):
            at += 1
        yield " ".join(line.strip().lstrip("/ ") for line in lines[start:at]), start, at


def tests_of(lines):
    """Name, first and last line of each test."""
    starts = [(n, TEST.match(line)) for n, line in enumerate(lines)]
    starts = [(n, ".".join(match.groups())) for n, match in starts if match]
    for n, name in starts:
        end = next((k for k in range(n, len(lines)) if lines[k].startswith("}")), len(lines))
        yield name, n, end


def sources_of(path, known):
    """For each test of a file the keys of what it is held against, in order."""
    lines = path.read_text().splitlines()
    tests = list(tests_of(lines))
    first_code = next((n for n, line in enumerate(lines) if line.startswith("#include")), 0)
    found = {name: [] for name, _, _ in tests}
    for comment, start, after in blocks(lines):
        keys = keys_in(comment, known)
        if not keys:
            continue
        if start < first_code:
            for name in found:
                found[name] += keys
            continue
        code = lines[after] if after < len(lines) else ""
        defined = re.search(r"(\w+)\s*(?:\(|=|\{|;)", code)
        inside = [t for t in tests if t[1] <= start <= t[2]]
        above = [t for t in tests if t[1] == after]
        users = [t for t in tests if not inside and not above and defined
                 and any(re.search(rf"\b{defined.group(1)}\b", line) for line in lines[t[1]:t[2]])]
        for name, _, _ in inside or above or users:
            found[name] += keys
    for name, start, end in tests:  # comments at the end of a line of code
        for line in lines[start:end]:
            if "//" in line and not line.lstrip().startswith("//"):
                found[name] += keys_in(line.split("//", 1)[1], known)
    return {name: list(dict.fromkeys(keys)) for name, keys in found.items() if keys}


def results_of(reports):
    """For each layer and test: its cases, their properties and whether all passed."""
    results = {}
    for report in sorted(reports.glob("*.xml")):
        layer = report.stem.removesuffix("_test")
        for case in xml.parse(report).getroot().iter("testcase"):
            suite = case.get("classname").split("/")
            name = (suite[1] if len(suite) > 1 else suite[0]) + "." + case.get("name").split("/")[0]
            values = {p.get("name"): p.get("value") for p in case.iter("property")}
            outcome = ("skipped" if case.find("skipped") is not None or case.get("result") == "skipped"
                       else "failed" if case.find("failure") is not None else "passed")
            results.setdefault((layer, name), []).append((outcome, values))
    return results


def share(values):
    tolerance = float(values["tolerance"])
    return float(values["deviation"]) / tolerance if tolerance > 0 else float(values["deviation"])


def row_of(layer, name, keys, cases):
    outcomes = {outcome for outcome, _ in cases}
    outcome = next(o for o in ("failed", "skipped", "passed") if o in outcomes)
    measured = [values for _, values in cases if "deviation" in values]
    compared, worst = "by rule", ""
    if measured:
        count = sum(int(values["comparisons"]) for values in measured)
        largest = max(measured, key=share)
        compared = f"{count} number{'s' if count > 1 else ''}"
        worst = f"{largest['deviation']} of {largest['tolerance']}"
    words = name.split(".", 1)
    words = f"{words[0]}: {re.sub('_', ' ', words[1])}"
    return f"| {', '.join(keys)} | {layer} | {words} | {compared} | {worst} | {outcome} |", outcome


def between(path, mark, text):
    whole = path.read_text()
    begin, end = f"<!-- {mark}: begin -->", f"<!-- {mark}: end -->"
    head, rest = whole.split(begin)
    tail = rest.split(end)[1]
    path.write_text(f"{head}{begin}\n{text}\n{end}{tail}")


def main():
    tree, reports, study = Path(sys.argv[1]), Path(sys.argv[2]), sys.argv[3]
    known = bibliography((tree / "DEVELOPERS.md").read_text())
    results = results_of(reports)
    rows, outcomes, used = [], [], set()
    for path in sorted(tree.glob("tests/*/*_test.cpp")):
        layer = path.parent.name
        for name, keys in sources_of(path, known).items():
            cases = results.get((layer, name))
            if cases is None:
                sys.exit(f"held_against.py: no report of the test {layer} {name}")
            row, outcome = row_of(layer, name, keys, cases)
            rows.append((keys[0].lower(), row))
            outcomes.append(outcome)
            used.update(keys)
    if not rows:
        sys.exit("held_against.py: the reports hold no test with a source")
    table = ["| source | layer | what was compared | of | largest deviation | result |",
             "|---|---|---|---|---|---|"] + [row for _, row in sorted(rows, key=lambda r: r[0])]
    all_cases = [outcome for cases in results.values() for outcome, _ in cases]
    summary = (f"{len(rows)} tests hold basefog against {len(used)} sources from outside; in the last "
               f"run of `scripts/validate --table` {outcomes.count('passed')} of them passed, "
               f"{outcomes.count('failed')} failed, {outcomes.count('skipped')} were skipped "
               f"(of {len(all_cases)} test cases in all: {all_cases.count('passed')} passed, "
               f"{all_cases.count('failed')} failed, {all_cases.count('skipped')} skipped).")
    text = summary + "\n\n" + "\n".join(table)
    if study != "-":
        text += "\n\nThe study of accuracy, by kind of film and scan:\n\n" + Path(study).read_text().strip()
    between(tree / "tests/validation/HELD_AGAINST.md", "held against", text)
    between(tree / "README.md", "held against", summary)
    print(summary)


main()
