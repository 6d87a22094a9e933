"""Tamper with an audit bundle in thousands of ways and count what its check finds. Run by hand.

    python tests/bench/bundle_tamper.py BUNDLE.zip [CHANGES A CLASS] [SEED]

BUNDLE is one that `runout audit export` wrote as a zip file, with its key inside. Classes: one byte of one file
changed; one byte of the zip file itself; a file taken out or added; and, by a forger who writes the manifest
anew, a line of entries, proofs or raw scans taken out, doubled, swapped or with one byte changed, a file of those
cut off, the checkpoint's size or root changed, and a table changed, also with the seal taken out; and a second seal
added. "Located" means that the sentence names the file, or of a
changed entry its number or line.
"""

import random
import re
import sys
import time
from pathlib import Path

from tracelink.report.bundle import verify_bundle as v
from tracelink.report.bundle.bundle_files import sealed

LINED = (v.ENTRIES, v.PROOFS, v.SCANS)


def flipped(data, chance):
    bad = bytearray(data)
    bad[chance.randrange(len(bad))] ^= chance.randrange(1, 256)
    return bytes(bad)


def byte_of_a_file(files, chance):
    name = chance.choice(sorted(files))
    # By size, so that the long files are tried as often as their bytes deserve.
    if chance.random() < 0.5:
        name = chance.choices(sorted(files), [len(files[each]) for each in sorted(files)])[0]
    return {**files, name: flipped(files[name], chance)}, name


def file_out(files, chance):
    name = chance.choice(sorted(files))
    return {each: data for each, data in files.items() if each != name}, name


def file_in(files, chance):
    name = f"tables/{chance.randrange(10**6)}.csv"
    return {**files, name: b"x"}, name


def resealed(files, name, data):
    """Write the manifest anew, and leave the seal as it is: the forger has no key."""
    rest = {each: found for each, found in files.items() if each not in (v.MANIFEST, v.SEAL, "verify.py")}
    return {**sealed({**rest, name: data}), v.SEAL: files[v.SEAL]}


def table_changed(files, chance):
    name = chance.choice([each for each in sorted(files) if each.startswith("tables/") and files[each]])
    return resealed(files, name, flipped(files[name], chance)), name


def seal_taken_out(files, chance):
    bad, _ = table_changed(files, chance)
    return {name: data for name, data in bad.items() if name != v.SEAL}, v.SEAL


def second_seal(files, chance):
    lines = files[v.SEAL].splitlines(keepends=True)
    number = chance.randrange(len(lines[-1]) - 12, len(lines[-1]) - 4)
    other = lines[-1][:number] + b"A" + lines[-1][number + 1 :]
    return {**files, v.SEAL: files[v.SEAL] + other}, v.SEAL


def forged_line(files, chance):
    name = chance.choice(LINED)
    lines = files[name].splitlines(keepends=True)
    place = chance.randrange(len(lines) - 1)
    how = chance.randrange(4)
    if how == 0:
        del lines[place]
    elif how == 1:
        lines.insert(place, lines[place])
    elif how == 2:
        lines[place], lines[place + 1] = lines[place + 1], lines[place]
    else:
        lines[place] = flipped(lines[place][:-1], chance) + b"\n"
    return resealed(files, name, b"".join(lines)), r"entry|entries|line|scans"


def cut_off(files, chance):
    name = chance.choice(LINED)
    return resealed(
        files, name, files[name][: chance.randrange(len(files[name]))]
    ), r"entry|entries|line|scans"


def checkpoint_changed(files, chance):
    text = files[v.CHECKPOINT]
    return resealed(files, v.CHECKPOINT, flipped(text, chance)), r"checkpoint|signature|key|proven"


CLASSES = {
    "one byte of a file": byte_of_a_file,
    "a file taken out": file_out,
    "a file added": file_in,
    "a line forged, manifest anew": forged_line,
    "a file cut off, manifest anew": cut_off,
    "the checkpoint forged, manifest anew": checkpoint_changed,
    "a table changed, manifest anew": table_changed,
    "a table changed, manifest anew, seal taken out": seal_taken_out,
    "a second seal": second_seal,
}


def main():
    data = Path(sys.argv[1]).read_bytes()
    times = int(sys.argv[2]) if len(sys.argv) > 2 else 1000
    seed = int(sys.argv[3]) if len(sys.argv) > 3 else 1
    files, odd = v.read_zip(data)
    keys = [v.parse_key(files[v.KEY].decode())]
    begun = time.perf_counter()
    honest = v.verify(files, odd, keys)
    took = time.perf_counter() - begun
    assert honest.code == 0, honest.lines()
    print(f"{len(files)} files, {sum(map(len, files.values()))} bytes; an honest check takes {took:.3f} s")
    missed = 0
    for title, change in CLASSES.items():
        chance = random.Random(f"{title} {seed}")
        found = located = 0
        for _ in range(times):
            bad, where = change(files, chance)
            if bad == files:
                continue
            result = v.verify(bad, (), keys)
            found += result.code == 3
            said = " ".join(result.faults)
            located += (where in said) if where in files or where in bad else bool(re.search(where, said))
        print(f"{title:<40} {found}/{times} found, {located}/{times} located")
        missed += times - found
    missed += of_the_zip(data, keys, times, random.Random(seed))
    print(f"missed: {missed}")
    return 1 if missed else 0


def of_the_zip(data, keys, times, chance):
    found = 0
    for _ in range(times):
        try:
            files, odd = v.read_zip(flipped(data, chance))
        except v.Fault:
            found += 1
            continue
        found += v.verify(files, odd, keys).code in (1, 3)
    print(f"{'one byte of the zip file':<40} {found}/{times} found")
    return times - found


if __name__ == "__main__":
    sys.exit(main())
