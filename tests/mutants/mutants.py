#!/usr/bin/env python3
"""Plants small faults in a copy of src/, all compiled at once, and lists those that no test sees.

Each planted fault asks a switch that an environment variable sets, so that one build serves for
all of them. From the project's folder:

    python3 tests/mutants/mutants.py --each 24              # plant, build, run
    python3 tests/mutants/mutants.py --of gate/,book/pack   # all faults of some files
    python3 tests/mutants/mutants.py --run                  # go on, and ask new tests too
    python3 tests/mutants/mutants.py --run --only NAME      # ask a test again that was sharpened

The copy lies under target/mutants and is built there, so that nothing built of src/ is ever taken
for a build of the copy; src/ is never touched. What was planted is in target/mutants/planted.json,
what became of it in target/mutants/fates.json, from which a later run goes on. Each test runs once
without a fault, which tells what it comes by, and then alone for each fault that it is asked about.
Needs Python 3.10, a system that knows processor time, and nothing else.
"""

import argparse
import contextlib
import json
import os
import random
import re
import resource
import shutil
import signal
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
WORK = ROOT / "target" / "mutants"
TREE = WORK / "tree"
PLANTED = WORK / "planted.json"
FATES = WORK / "fates.json"
NAMED = Path(__file__).with_name("named.txt")
LOOKS = WORK / "looks.json"
SCRATCH = WORK / "scratch"
COPIED = ["src", "tests", "sites", "reports", "Cargo.toml", "Cargo.lock", "README.md", "DEVELOPERS.md"]
TESTS = [
    "core-lib", "core", "lib", "crop", "trend", "rings", "survey_plan", "advice", "evidence",
    "catalogue", "look_alikes", "own_crops", "intake", "exports", "sites", "report",
    "season_report", "report_sheet", "site_map", "reports", "rehearsal", "oracle", "book", "desk",
    "commands",
]
# What is built only with a feature, and is asked by tests that need a server.
BEHIND_FEATURES = ("book/shared/", "desk/tls.rs")
# A fault that never ends is found: so many times the processor time that a test takes without one,
# and so many seconds more. Where a test only waits, the clock ends it, late enough for a machine
# that stops now and then.
LONGEST = (6, 10)
STUCK = 400

OPERAND = r"[A-Za-z_][\w.]*(?:\(\))?|\d[\d_.]*"
SWITCH = """//! Which planted fault is on: asked once of the environment.

use std::io::Write;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicBool, Ordering};

const MOST: usize = 20_000;
static REACHED: [AtomicBool; MOST] = [const { AtomicBool::new(false) }; MOST];

pub fn on(number: usize) -> bool {
    static SET: OnceLock<(usize, Option<String>)> = OnceLock::new();
    let (set, folder) = SET.get_or_init(|| {
        let set = std::env::var("MUTANT").ok().and_then(|text| text.parse().ok());
        (set.unwrap_or(usize::MAX), std::env::var("MUTANTS_REACHED").ok())
    });
    if let Some(folder) = folder
        && !REACHED[number].swap(true, Ordering::Relaxed)
    {
        let file = format!("{folder}/{}", std::process::id());
        let file = std::fs::OpenOptions::new().create(true).append(true).open(file);
        let _ = file.and_then(|mut file| writeln!(file, "{number}"));
    }
    *set == number
}
"""


def swaps(line):
    """Faults that a line may bear: where, what stands there, what is to stand there, in words."""
    other = {"<": "<=", "<=": "<", ">": ">=", ">=": ">", "==": "!=", "!=": "=="}
    for found in re.finditer(rf"(?<![\w.)\]>&*])({OPERAND}) (<=|>=|==|!=|<|>) ({OPERAND})(?![\w.(\[!?{{:]| [-+*/%])", line):
        before = line[: found.start()].rstrip()
        if before.endswith(("-", "+", "*", "/", "%", "<", "|", "..")) or "->" in line:
            continue
        a, op, b = found.groups()
        yield found.span(), f"(if @ON {{ {a} {other[op]} {b} }} else {{ {a} {op} {b} }})", f"{a} {other[op]} {b}"
    other = {"+": "-", "-": "+", "*": "/", "/": "*"}
    for found in re.finditer(rf"(?<![\w.)\]>&*])({OPERAND}) ([-+*/]) ({OPERAND})(?![\w.(\[!?:]| [-+*/%]| as )", line):
        before = line[: found.start()].rstrip()
        if before.endswith(("-", "+", "*", "/", "%", "|", "'")):
            continue
        a, op, b = found.groups()
        yield found.span(), f"(if @ON {{ {a} {other[op]} {b} }} else {{ {a} {op} {b} }})", f"{a} {other[op]} {b}"
    for found in re.finditer(r"\.(min|max)\((?!\))", line):
        name = found.group(1)
        swapped = "max" if name == "min" else "min"
        yield found.span(), f".{name}_or_{swapped}(@ON, ", f".{swapped}( for .{name}("
    for found in re.finditer(rf"(?<=[ (])!([a-z_][\w.]*(?:\((?:[\w.&]*)\))?)(?![\w.(\[?])", line):
        yield found.span(), f"(@ON == {found.group(1)})", f"{found.group(1)} without !"
    found = re.fullmatch(r"(\s+)([a-z_][\w.]*\.(?:push|push_str|extend|retain|sort\w*|insert|add|dedup\w*|reverse|truncate)\(.*\);)\n?", line)
    if found:
        yield found.span(2), f"if !@ON {{ {found.group(2)} }}", f"without {found.group(2)}"
    found = re.fullmatch(r"(\s+)(.*) (\+=|-=) (.*);\n?", line)
    if found and "let " not in line:
        op = "-=" if found.group(3) == "+=" else "+="
        a, b = found.group(2), found.group(4)
        yield (found.start(2), found.end(4) + 1), f"if @ON {{ {a} {op} {b}; }} else {{ {a} {found.group(3)} {b}; }}", f"{a} {op} {b}"


def bodies(lines, at):
    """A function that gives at once what its type holds least of."""
    found = re.fullmatch(r"\s*(?:pub(?:\([\w: ]+\))? )?fn \w+.*-> ([\w:<>]+) \{\n?", lines[at])
    least = {"bool": ["true", "false"], "f64": ["0.0"], "u32": ["0"], "usize": ["0"], "i64": ["0"],
             "Option<Date>": ["None"], "Option<f64>": ["None"], "String": ["String::new()"]}
    for value in least.get(found.group(1), []) if found else []:
        yield f"if @ON {{ return {value}; }}", f"gives {value} at once: {lines[at].strip()}"


def candidates():
    """All faults that could be planted, by the folder of src that they lie in."""
    found = {}
    for path in sorted((ROOT / "src").rglob("*.rs")):
        name = path.relative_to(ROOT / "src").as_posix()
        if name.startswith(BEHIND_FEATURES):
            continue
        lines = path.read_text().splitlines(keepends=True)
        text_opens = False
        for at, line in enumerate(lines):
            if "#[cfg(test)]" in line:
                break
            code = line.strip()
            if code.startswith(("//", "#", "const ", "pub const ", "static ", "use ", '"', "\\")) or "macro_rules" in line:
                continue
            if line.count('"') % 2:
                text_opens = not text_opens
                continue
            if text_opens or '"' in line or " where" in line:
                continue
            folder = name.removeprefix("core/").split("/")[0]
            for span, code, says in swaps(line):
                found.setdefault(folder, []).append({"file": name, "line": at, "span": span, "code": code, "says": says})
            for code, says in bodies(lines, at):
                found.setdefault(folder, []).append({"file": name, "line": at, "span": None, "code": code, "says": says})
    return found


def named():
    """Those of named.txt, each of which must find its place."""
    found = []
    text = "\n".join(line for line in NAMED.read_text().splitlines() if not line.startswith("#"))
    for block in text.strip().split("\n\n"):
        says, name, old, code = block.strip().splitlines()
        lines = (ROOT / "src" / name).read_text().split("#[cfg(test)]")[0].splitlines()
        places = [(at, line.index(old)) for at, line in enumerate(lines) if old in line]
        if len(places) != 1:
            sys.exit(f"{says}: `{old}` stands {len(places)} times in src/{name}")
        at, start = places[0]
        span = (start, start + len(old))
        found.append({"file": name, "line": at, "span": span, "code": code, "says": says})
    return found


def chosen(each, seed, of=()):
    """Those with a name, and so many of each folder, at most one on a line, spread over its files
    by chance; or as many as there are of files whose names contain one of these."""
    chance, taken = random.Random(seed), named()
    of_names = {(fault["file"], fault["line"]) for fault in taken}
    for folder, all_of_it in sorted(candidates().items()):
        chance.shuffle(all_of_it)
        if of:
            each = len(all_of_it)
            all_of_it = [fault for fault in all_of_it if any(name in fault["file"] for name in of)]
        lines, kept = set(of_names), []
        for fault in all_of_it:
            if (fault["file"], fault["line"]) not in lines and len(kept) < each:
                lines.add((fault["file"], fault["line"]))
                kept.append(fault)
        taken += kept
    for number, fault in enumerate(taken):
        fault["number"] = number
    return taken


def files_of(folder, name):
    whole = folder / name
    found = whole.rglob("*") if whole.is_dir() else [whole]
    return {file.relative_to(folder) for file in found if file.is_file()}


def copy(names):
    """Writes what differs and nothing else: cargo builds anew what was written since it last built."""
    for name in names:
        wanted = files_of(ROOT, name)
        for file in files_of(TREE, name) - wanted:
            (TREE / file).unlink()
        for file in wanted:
            to = TREE / file
            if not to.is_file() or to.read_bytes() != (ROOT / file).read_bytes():
                to.parent.mkdir(parents=True, exist_ok=True)
                shutil.copyfile(ROOT / file, to)


def plant(faults):
    """Writes the copy anew with these faults in it."""
    copy(COPIED)
    by_file = {}
    for fault in faults:
        by_file.setdefault(fault["file"], []).append(fault)
    for name, of_file in by_file.items():
        path = TREE / "src" / name
        lines = path.read_text().splitlines(keepends=True)
        # From the right, so that what else is planted on a line finds its place.
        for fault in sorted(of_file, key=lambda fault: fault["span"] or (0, 0), reverse=True):
            line, code = lines[fault["line"]], fault["code"].replace("@ON", f"crate::mutant::on({fault['number']})")
            if fault["span"] is None:
                lines[fault["line"]] = line.rstrip("\n") + " " + code + "\n"
            else:
                start, end = fault["span"]
                lines[fault["line"]] = line[:start] + code + line[end:]
        if any("_or_" in fault["code"] and ".m" in fault["code"] for fault in of_file):
            lines.append("#[allow(unused_imports)]\nuse crate::mutant::Extremes as _;\n")
        path.write_text("".join(lines))
    extremes = "\npub trait Extremes: Sized {\n    fn min_or_max(self, on: bool, other: Self) -> Self;\n    fn max_or_min(self, on: bool, other: Self) -> Self;\n}\n"
    for kind in ["f64", "u32", "u64", "usize", "i64", "i32", "jiff::civil::Date"]:
        extremes += (
            f"impl Extremes for {kind} {{\n"
            "    fn min_or_max(self, on: bool, other: Self) -> Self { if on { self.max(other) } else { self.min(other) } }\n"
            "    fn max_or_min(self, on: bool, other: Self) -> Self { if on { self.min(other) } else { self.max(other) } }\n}\n"
        )
    (TREE / "src" / "core" / "mutant.rs").write_text(SWITCH + extremes)
    for lib, line in [("core/lib.rs", "pub mod mutant;"), ("lib.rs", "pub use stintbook_core::mutant;")]:
        with (TREE / "src" / lib).open("a") as lib:
            lib.write(f"\n{line}\n")


def cargo(*words, **more):
    env = {**os.environ, "CARGO_TARGET_DIR": str(WORK / "build")}
    env.pop("RUSTFLAGS", None)
    command = [os.environ.get("CARGO", "cargo"), *words, "--manifest-path", str(TREE / "Cargo.toml")]
    return subprocess.run(command, env=env, capture_output=True, text=True, **more)


def compilable(faults):
    """Leaves out what does not compile: the compiler says where."""
    while True:
        plant(faults)
        told = cargo("check", "--lib", "--message-format=json", "--quiet")
        bad = set()
        for line in told.stdout.splitlines():
            message = json.loads(line).get("message") or {}
            if message.get("level") != "error":
                continue
            for span in message.get("spans", []):
                bad.update((span["file_name"].removeprefix("src/"), at - 1) for at in range(span["line_start"], span["line_end"] + 1))
        if told.returncode == 0:
            return faults
        kept = [fault for fault in faults if (fault["file"], fault["line"]) not in bad]
        if len(kept) == len(faults):
            sys.exit(f"the copy does not compile, and not for a fault:\n{told.stderr[-3000:]}")
        print(f"{len(faults) - len(kept)} of {len(faults)} faults do not compile; leaving them out", flush=True)
        faults = kept


def executables(tests):
    """Builds the tests; gives their executables by name."""
    units = {"core-lib", "lib"}
    words = ["--lib"] if units & set(tests) else []
    words += [word for test in tests if test not in units for word in ("--test", test)]
    told = cargo("test", "--no-run", "--message-format=json", "--quiet", *words)
    if told.returncode:
        sys.exit(told.stderr[-3000:])
    found = {}
    for line in told.stdout.splitlines():
        made = json.loads(line)
        if made.get("executable") and made.get("profile", {}).get("test"):
            name = made["target"]["name"]
            found[{"stintbook_core": "core-lib", "stintbook": "lib"}.get(name, name)] = made["executable"]
    return {test: found[test] for test in tests if test in found}


def processor_seconds():
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def passes(executable, name, seconds=100.0, **env):
    """Whether a test passes alone."""
    most = round(LONGEST[0] * seconds + LONGEST[1])
    shutil.rmtree(SCRATCH, ignore_errors=True)
    SCRATCH.mkdir(parents=True)
    child = subprocess.Popen(
        [executable, "--exact", name], cwd=TREE, env={**os.environ, "TMPDIR": str(SCRATCH), **env},
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_CPU, (most, most)),
    )
    try:
        return child.wait(STUCK) == 0
    except subprocess.TimeoutExpired:
        return False
    finally:
        # Nothing that it started outlives it.
        with contextlib.suppress(ProcessLookupError):
            os.killpg(child.pid, signal.SIGKILL)
        child.wait()


def look(executable, name):
    """Which faults a test comes by, and the processor time it takes; nothing where it fails anyway."""
    folder = WORK / "reached"
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    before = processor_seconds()
    if not passes(executable, name, MUTANTS_REACHED=str(folder)):
        print(f"  (fails without any fault, and is left out: {Path(executable).name} {name})", flush=True)
        return {"seconds": 0.0, "reaches": []}
    numbers = {int(line) for file in folder.iterdir() for line in file.read_text().split()}
    return {"seconds": processor_seconds() - before, "reaches": sorted(numbers)}


def looks(built, only):
    """What each test comes by: kept from an earlier run, but for those that were asked for by name."""
    known = json.loads(LOOKS.read_text()) if LOOKS.exists() else {}
    for file, executable in built.items():
        listed = subprocess.run([executable, "--list", "--format", "terse"], capture_output=True, text=True).stdout
        names = [line.removesuffix(": test") for line in listed.splitlines() if line.endswith(": test")]
        of_file = {name: look for name, look in known.get(file, {}).items() if name in names}
        new = [name for name in names if name not in of_file or (only and only in name)]
        for name in new:
            of_file[name] = look(executable, name)
        known[file] = of_file
        save(LOOKS, known)
        if new:
            seconds = sum(look["seconds"] for look in of_file.values())
            print(f"{file:16} {len(names):4} tests, {seconds:6.1f} s", flush=True)
    return known


def ask(number, fate, known, built, only, most):
    """Asks the tests that come by a fault, until one sees it or they have taken `most` seconds: first
    those that come by few faults and are quick."""
    coming_by = sorted(
        (len(look["reaches"]) * (look["seconds"] + 0.01), look["seconds"], file, name)
        for file in built for name, look in known[file].items()
        if number in look["reaches"] and only in name
    )
    fate["tests"] = sum(number in look["reaches"] for of_file in known.values() for look in of_file.values())
    for _, seconds, file, name in coming_by:
        test = f"{file} {name}"
        if test in fate["asked"] and not only:
            continue
        if most <= 0:
            return
        most -= seconds
        fails = not passes(built[file], name, seconds, MUTANT=str(number))
        # What fails without the fault as well has seen something else.
        if fails and passes(built[file], name, seconds):
            fate["killed"] = test
            return
        if test not in fate["asked"]:
            fate["asked"].append(test)


def save(path, what):
    path.write_text(json.dumps(what, indent=1))


def main():
    asks = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asks.add_argument("--each", type=int, default=24, help="faults for each folder of src")
    asks.add_argument("--of", default="", help="parts of names of files: all their faults, in the place of some of each")
    asks.add_argument("--seed", type=int, default=2027)
    asks.add_argument("--run", action="store_true", help="go on with what was planted before")
    asks.add_argument("--tests", default=",".join(TESTS), help="test files")
    asks.add_argument("--only", default="", help="look at and ask only tests whose names contain this")
    asks.add_argument("--named", action="store_true", help="only the faults of named.txt")
    asks.add_argument("--fault", type=int, help="only this one")
    asks.add_argument("--seconds", type=float, default=30, help="of tests for each fault in one run")
    asks.add_argument("--minutes", type=float, default=1e9, help="stop after so long")
    asked = asks.parse_args()
    until = time.monotonic() + 60 * asked.minutes
    if asked.run:
        faults, fates = json.loads(PLANTED.read_text()), json.loads(FATES.read_text())
        copy(name for name in COPIED if name != "src")
    else:
        LOOKS.unlink(missing_ok=True)
        faults, fates = compilable(chosen(asked.each, asked.seed, [name for name in asked.of.split(",") if name])), {}
        save(PLANTED, faults)
        save(FATES, fates)
    built = executables(asked.tests.split(","))
    print(f"{len(faults)} faults planted, {len(built)} test files built", flush=True)
    known = looks(built, asked.only)
    names = {fault["says"] for fault in named()}
    for fault in faults:
        fate = fates.setdefault(str(fault["number"]), {"asked": []})
        is_asked = asked.fault in (None, fault["number"]) and (not asked.named or fault["says"] in names)
        if is_asked and "killed" not in fate and time.monotonic() < until:
            ask(fault["number"], fate, known, built, asked.only, asked.seconds)
            save(FATES, fates)
    by_file = Counter(fate["killed"].split()[0] for fate in fates.values() if "killed" in fate)
    told = ", ".join(f"{file} {n}" for file, n in by_file.most_common())
    print(f"\n{len(faults)} faults, {by_file.total()} found by a test ({told}); the others:\n")
    for fault in faults:
        fate = fates[str(fault["number"])]
        if "killed" not in fate:
            by = f"{len(fate['asked'])} of the {fate.get('tests', 0)} tests that come by it asked"
            print(f"{fault['number']:5} src/{fault['file']}:{fault['line'] + 1}: {fault['says']}  ({by})")


if __name__ == "__main__":
    main()
