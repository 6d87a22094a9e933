"""verify.py against honest bundles, tampered ones, hostile wrappings, and published values."""

import ast
import io
import json
import os
import random
import shutil
import stat
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from support_bundle import (
    ORIGIN,
    PLANT,
    WITNESS,
    Signer,
    checkpoint,
    journal,
    leaves,
    resealed,
    small_bundle,
    small_evidence,
)
from support_each import each
from support_vectors import by_id, load

from tracelink.errors import ProofFails
from tracelink.ledger.proof import merkle
from tracelink.ledger.proof.note import parse_checkpoint
from tracelink.report.bundle import verify_bundle as v
from tracelink.report.bundle.bundle_files import evidence_files, sealed, zipped

KEY = v.parse_key(PLANT.key)
FILES = small_bundle(earlier=11)


def check(files, **more):
    return v.verify(files, **{"keys": [KEY], **more})


def test_an_honest_bundle_holds_and_says_what_it_cannot_show():
    result = check(FILES)
    assert (result.code, result.faults, result.reservations) == (0, [], [])
    assert result.confirmed == [
        "10 files are as the manifest lists them, none more and none less",
        f"the checkpoint is signed by {ORIGIN} with the key that you gave",
        f"all files, tables and reports included, are as {ORIGIN} sealed them",
        f"10 entries are in the journal of {ORIGIN}, each at its number, among the first 23",
        "the raw scans of 5 entries are as they were recorded",
        "since earlier-checkpoint.txt (11 entries) the journal only grew",
    ]
    said = " ".join(result.limits)
    assert "follow from the entries" in said
    assert "that all entries about lot L000012X are here" in said
    assert "never recorded" in said


def test_a_key_out_of_the_bundle_says_nothing_about_who_signed():
    result = v.verify(FILES)
    assert result.code == 1
    assert [each.split(":")[0] for each in result.reservations] == ["who signed"]


def test_an_unsigned_checkpoint_is_told():
    result = v.verify(small_bundle(signers=(), key=None))
    assert (result.code, result.reservations) == (
        1,
        [
            "who made it: the checkpoint bears no signature that could be checked",
            "who made the tables, pictures and reports: the manifest is not sealed with the key of the journal",
        ],
    )


def forged(files=FILES, **changed):
    """A bundle changed by somebody without the key, who writes the manifest anew; None takes a file out."""
    made = {name: data for name, data in files.items() if name not in ("manifest.sha256", "manifest.note")}
    made |= {name: data for name, data in changed.items() if data is not None}
    return sealed({name: data for name, data in made.items() if changed.get(name, data) is not None})


TABLE = {"tables/segments.csv": b"lot,first\nL000012X,9\n"}


def test_files_changed_under_a_manifest_written_anew_are_named():
    found = check({**forged(**TABLE), "manifest.note": FILES["manifest.note"]})
    assert found.code == 3
    assert found.faults[0].startswith("the manifest is not the one that was sealed in manifest.note")
    assert [each.split(":")[0] for each in found.faults[1:]] == [
        "file tables/segments.csv was changed since the bundle was sealed"
    ]
    more = forged(**{"tables/more.csv": b"x", "tables/segments.csv": None, "scans.jsonl": b""})
    found = check({**more, "manifest.note": FILES["manifest.note"]})
    assert [each.split(":")[0] for each in found.faults[1:4]] == [
        "file scans.jsonl was changed since the bundle was sealed",
        "file tables/more.csv was added since the bundle was sealed",
        "file tables/segments.csv was taken out since the bundle was sealed",
    ]


def test_an_emptied_manifest_is_told_once_and_not_for_each_file():
    made = {f"tables/{number}.csv": b"x" for number in range(60)} | {"manifest.sha256": b""}
    result = v.Result()
    v.check_manifest(made, result)
    [fault] = result.faults
    assert fault == (
        "60 files are not in the manifest: they were added, or their lines were taken out; the first are tables/0.csv, "
        "tables/1.csv, tables/10.csv"
    )
    few = v.Result()
    v.check_manifest({"a": b"", "b": b"", "manifest.sha256": b""}, few)
    assert few.faults == [f"file {name} is not in the manifest: it was added" for name in "ab"]


def test_a_signed_checkpoint_without_a_seal_is_refused_with_or_without_a_key():
    for files in (forged(), forged(**TABLE)):
        for keys in ([KEY], []):
            found = v.verify(files, keys=keys)
            assert found.code == 3
            assert found.faults[0].startswith("manifest.note is missing: whoever signs the checkpoint")


def test_a_seal_by_a_stranger_is_refused():
    files, stranger = forged(**TABLE), Signer(ORIGIN, 9)
    text = v.seal_text(ORIGIN, files["manifest.sha256"])
    own = check({**files, "manifest.note": f"{text}\n{stranger.line(text)}".encode()})
    assert own.faults == ["manifest.note is not signed with a key of the journal"]
    bare = check({**files, "manifest.note": f"{text}\n".encode()})
    assert bare.faults == ["manifest.note bears no signature: expected one, by the key of the journal"]


def test_two_seals_are_refused_by_a_sentence():
    text, stranger = v.seal_text(ORIGIN, FILES["manifest.sha256"]), Signer(ORIGIN, 9)
    one = FILES["manifest.note"].decode()
    for two in (one + stranger.line(text), one + PLANT.line(text), f"{one}\n{one}", f"{text}\n{one}"):
        found = check({**FILES, "manifest.note": two.encode()})
        assert (found.code, found.faults) == (
            3,
            [
                (
                    "manifest.note holds 2 seals: expected one, by the key of the journal. One was added on the way; ask "
                    "the plant for the bundle again"
                )
            ],
        )


def test_a_seal_of_version_1_still_holds_and_cannot_name_what_was_changed():
    head = v._seal_head(ORIGIN, FILES["manifest.sha256"])
    old = f"{head}\n{PLANT.line(head)}".encode()
    assert check({**FILES, "manifest.note": old}).code == 0
    assert len(check({**forged(**TABLE), "manifest.note": old}).faults) == 1


def test_another_version_is_named():
    about = FILES["about.json"].replace(b'"version": 2', b'"version": 9')
    assert check(resealed(FILES, **{"about.json": about})).faults == [
        "the bundle is of version 9; this program reads versions 1 to 2: take a newer verify.py from the program"
    ]


def test_a_seal_is_never_a_checkpoint():
    text = v.seal_text(ORIGIN, b"")
    with pytest.raises(v.Fault):
        v.CheckpointText(f"{text}\n{PLANT.line(text)}".encode(), "seal")
    with pytest.raises(ProofFails):
        parse_checkpoint(text)


def test_a_withheld_entry_is_proven_by_its_hash_and_told():
    files = small_bundle(withheld=(4, 15))
    result = check(files)
    assert result.code == 0
    assert result.limits[0].startswith("what stands in 2 entries: they name people")
    assert b'"seq":4,' not in files["entries.jsonl"]


def test_a_witness_is_confirmed_missed_or_unknown():
    files = small_bundle(signers=(PLANT, WITNESS))
    witness = v.parse_key(WITNESS.key)
    assert check(files, witnesses=[witness]).code == 0
    assert check(files).reservations == [
        (
            f"signature of the unknown signer or witness {WITNESS.name} (key {WITNESS.number.hex()}): "
            "no key for it was given"
        )
    ]
    assert check(FILES, witnesses=[witness]).reservations == [
        f"the witness {WITNESS.name} (key {WITNESS.number.hex()}) has not signed this checkpoint"
    ]


def changed(name, old, new):
    assert old in FILES[name]
    return resealed(FILES, **{name: FILES[name].replace(old, new, 1)})


def test_what_a_forger_changes_under_a_new_manifest_is_found():
    lines = FILES["entries.jsonl"].splitlines(keepends=True)
    proofs = FILES["proofs.jsonl"].splitlines(keepends=True)
    cases = {
        "entry 2 is not proven": changed("entries.jsonl", b"a 2 ", b"a 5 "),
        "entry 4 was taken out": resealed(FILES, **{"entries.jsonl": b"".join(lines[:2] + lines[3:])}),
        "entry 3 is out of order": resealed(
            FILES, **{"entries.jsonl": b"".join([lines[0], lines[2], lines[1], *lines[3:]])}
        ),
        "line 2 of proofs.jsonl is out of order": resealed(
            FILES, **{"proofs.jsonl": b"".join([proofs[0], proofs[0], *proofs[2:]])}
        ),
        "entry 2 has no proof": resealed(FILES, **{"proofs.jsonl": b"".join(proofs[1:])}),
        "corrects entry 4, which is not in the bundle": resealed(
            FILES,
            **{
                "entries.jsonl": b"".join(lines[:2] + lines[3:]),
                "proofs.jsonl": b"".join(proofs[:2] + proofs[3:]),
            },
        ),
        "about.json says 10 entries": resealed(
            FILES, **{"entries.jsonl": b"".join(lines[:-1]), "proofs.jsonl": b"".join(proofs[:-1])}
        ),
        "the raw scans of entry 3 were changed": changed("scans.jsonl", b"]C1a3", b"]C1a4"),
        "the raw scans of entry 3 are missing": resealed(
            FILES, **{"scans.jsonl": FILES["scans.jsonl"].split(b"\n", 1)[1]}
        ),
        "its last line does not end": resealed(FILES, **{"entries.jsonl": FILES["entries.jsonl"][:-1]}),
        "proofs.jsonl is missing": resealed(FILES, **{"proofs.jsonl": None}),
        "the signature of plant.example.com/journal is not by that key": changed(
            "checkpoint.txt", b"\n23\n", b"\n24\n"
        ),
        "belong together": resealed(FILES, **{"consistency.json": None}),
        "it was written anew in between": resealed(
            FILES, **{"earlier-checkpoint.txt": checkpoint(11, bytes(32), PLANT)}
        ),
        "is a proof between other sizes": resealed(
            FILES, **{"earlier-checkpoint.txt": checkpoint(12, bytes(32), PLANT)}
        ),
    }
    for said, files in cases.items():
        result = check(files)
        assert result.code == 3, said
        assert any(said in each for each in result.faults), (said, result.faults)


def test_a_checkpoint_of_another_ledger_is_found():
    other = journal(23, "b")
    note = checkpoint(23, merkle.root(leaves(other), 23), PLANT)
    result = check(resealed(FILES, **{"checkpoint.txt": note}))
    assert sum("is not proven" in each for each in result.faults) == 10


def test_a_wrong_key_is_found():
    for key in (Signer(ORIGIN, 9).key, Signer("elsewhere.example.com", 9).key):
        result = v.verify(FILES, keys=[v.parse_key(key)])
        assert result.code == 3
        assert "key that you gave" in result.faults[0]


def test_a_bundle_made_and_signed_by_a_stranger_fails_with_the_plants_key():
    """Without the plant's key it would hold, which is why that is a reservation."""
    forger = Signer(ORIGIN, 9)

    def own_seal(manifest):
        text = v.seal_text(ORIGIN, manifest)
        return f"{text}\n{forger.line(text)}".encode()

    made = evidence_files(small_evidence(journal(9), (2, 3), signers=(forger,), key=forger.key))
    files = sealed(made, own_seal)
    assert v.verify(files).code == 1
    assert check(files).code == 3


def test_an_earlier_checkpoint_that_the_auditor_kept():
    made = leaves(journal(23))
    good = checkpoint(11, merkle.root(made, 11), PLANT)
    assert check(FILES, held=[("kept.txt", good)]).code == 0
    assert check(FILES, held=[("kept.txt", checkpoint(23, merkle.root(made, 23), PLANT))]).code == 0
    assert check(FILES, held=[("kept.txt", checkpoint(0, merkle.EMPTY_ROOT, PLANT))]).code == 0
    other = check(FILES, held=[("kept.txt", checkpoint(12, merkle.root(made, 12), PLANT))])
    assert (other.code, len(other.reservations)) == (1, 1)
    later = check(FILES, held=[("kept.txt", checkpoint(40, bytes(32), PLANT))])
    assert (later.code, len(later.reservations)) == (1, 1)
    for wrong in (
        checkpoint(11, bytes(32), PLANT),
        checkpoint(23, bytes(32), PLANT),
        checkpoint(0, bytes(32), PLANT),
        checkpoint(11, merkle.root(made, 11), Signer(ORIGIN, 9)),
        checkpoint(11, merkle.root(made, 11), PLANT, origin="elsewhere.example.com"),
    ):
        assert check(FILES, held=[("kept.txt", wrong)]).code == 3


def test_one_byte_changed_anywhere_is_found():
    """Two hundred places chosen by a seed, over all files of the bundle."""
    chance = random.Random(20310303)
    names = sorted(FILES)
    for _ in range(200):
        name = chance.choice(names)
        data = bytearray(FILES[name])
        data[chance.randrange(len(data))] ^= chance.randrange(1, 256)
        assert check({**FILES, name: bytes(data)}).code == 3, name


def test_one_byte_changed_anywhere_in_the_zip_file_is_found():
    data = zipped(FILES, "audit-L000012X")
    chance = random.Random(20310304)
    for _ in range(120):
        bad = bytearray(data)
        bad[chance.randrange(len(bad))] ^= chance.randrange(1, 256)
        try:
            files, odd = v.read_zip(bytes(bad))
        except v.Fault:
            continue
        assert v.verify(files, odd, [KEY]).code in (1, 3)
    assert v.read_zip(data) == (FILES, [])


def packed(*members, store=True):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED if store else zipfile.ZIP_DEFLATED) as archive:
        for name, data, *attributes in members:
            info = zipfile.ZipInfo(name)
            info.compress_type = zipfile.ZIP_STORED if store else zipfile.ZIP_DEFLATED
            if attributes:
                info.external_attr = attributes[0] << 16
            archive.writestr(info, data)
    return out.getvalue()


@each(
    ("data", "said"),
    [
        (packed(("/etc/passwd", b"x")), "expected plain letters"),
        (packed(("../up", b"x")), "expected plain letters"),
        (packed(("a/../../up", b"x")), "expected plain letters"),
        (packed(("C:\\up", b"x")), "not plain"),
        (packed(("a\\b", b"x")), "not plain"),
        (packed(("link", b"/etc/passwd", stat.S_IFLNK | 0o777)), "link or device"),
        (packed(("A", b"x"), ("a", b"x")), "twice"),
        (packed(*((f"f{n}", b"") for n in range(5001))), "5000 files"),
        (b"PK\x03\x04 and nothing more", "damaged or no zip"),
        (b"", "damaged or no zip"),
    ],
)
def test_a_hostile_zip_file_is_refused_by_name(data, said):
    with pytest.raises(v.Fault, match=said):
        v.read_zip(data)


def test_a_bomb_is_refused_before_it_is_unpacked(monkeypatch):
    bomb = packed(("a", bytes(8 << 20)), store=False)
    assert len(bomb) < 20_000
    monkeypatch.setattr(v, "MOST_BYTES", 4 << 20)
    with pytest.raises(v.Fault, match="unpack to more than"):
        v.read_zip(bomb)
    monkeypatch.setattr(v, "MOST_BYTES", 1 << 30)
    monkeypatch.setattr(v, "MUCH_BYTES", 1 << 20)
    with pytest.raises(v.Fault, match=f"unpack to more than {1 << 20} bytes"):
        v.read_zip(bomb)
    # A header that lies about the size is found out by reading no more than it says.
    small, real = (1000).to_bytes(4, "little"), (8 << 20).to_bytes(4, "little")
    lying = bomb.replace(real, small)
    with pytest.raises(v.Fault, match=r"damaged|another size"):
        v.read_zip(lying)


def test_a_zip_file_packed_anew_is_read_and_told():
    data = packed(*((f"x/{name}", each) for name, each in FILES.items()), store=False)
    files, odd = v.read_zip(data)
    result = v.verify(files, odd, [KEY])
    assert (result.code, len(result.reservations)) == (1, 1)
    assert "packed anew" in result.reservations[0]


def test_a_folder_with_a_link_is_refused(tmp_path):
    (tmp_path / "a").symlink_to("/etc/passwd")
    with pytest.raises(v.Fault, match="not a plain file"):
        v.read_bundle(str(tmp_path))


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"[" * 200_000, "nested too deeply|not JSON"),
        (b'{"a":' * 200_000, "nested too deeply|not JSON"),
        (b'{"a":1,"a":2}', "a key twice"),
        (b'{"a":1.5}', "whole numbers"),
        (b'{"a":NaN}', "whole numbers"),
        (b'{"a":' + b"9" * 5000 + b"}", "too large"),
        (b"\xff", "not UTF-8"),
        (b" " * 100, "more than the 50"),
    ],
)
def test_hostile_json_is_refused(data, said):
    with pytest.raises(v.Fault, match=said):
        v.load_json(data, "x", 50 if data.isspace() else v.MOST_JSON)


def test_hostile_files_inside_never_end_in_a_traceback():
    chance = random.Random(5)
    junk = [
        b"",
        b"\n",
        b"[]\n",
        b"{}\n",
        b"null\n",
        b"1 \n",
        b"[" * 100_000 + b"\n",
        b'{"seq":true,"path":[]}\n',
    ]
    junk += [bytes(chance.randrange(256) for _ in range(60)) for _ in range(20)]
    for name in (n for n in (*v.NEEDED, v.SEAL, v.KEY, v.EARLIER, v.CONSISTENCY) if n != v.MANIFEST):
        for data in junk:
            assert check(resealed(FILES, **{name: data})).code == 3, (name, data[:20])
    for data in junk:
        assert check({**FILES, v.MANIFEST: data}).code == 3


@pytest.mark.parametrize("case", load("bundle", "ed25519"), ids=by_id)
def test_published_signatures(case):
    key, message, signature = (
        bytes.fromhex(text)
        for text in (case["input"]["public_hex"], case["input"]["message_hex"], case["expected"])
    )
    assert v.ed25519_verifies(key, message, signature), case["source"]
    assert not v.ed25519_verifies(key, message + b"x", signature)


def test_signatures_agree_with_an_independent_library():
    """Right ones, each with one bit changed somewhere, and a scalar that is not reduced."""
    chance = random.Random(11)
    for number in range(12):
        secret = Ed25519PrivateKey.from_private_bytes(bytes([number]) * 32)
        public, message = secret.public_key(), chance.randbytes(number * 7)
        key, signature = public.public_bytes_raw(), secret.sign(message)
        assert v.ed25519_verifies(key, message, signature)
        bad = bytearray(signature)
        bad[chance.randrange(64)] ^= 1 << chance.randrange(8)
        assert not v.ed25519_verifies(key, message, bytes(bad))
        large = int.from_bytes(signature[32:], "little") + v._L
        assert not v.ed25519_verifies(key, message, signature[:32] + large.to_bytes(32, "little"))


@pytest.mark.parametrize("case", load("bundle", "c2sp-signed-note", "c2sp-checkpoint"), ids=by_id)
def test_published_notes(case):
    note = v.SignedNote(case["expected"].encode(), "note")
    name, number, key = v.parse_key(case["input"]["vkey"])
    assert [each[:2] for each in note.signatures] == [(name, number)], case["source"]
    assert v.ed25519_verifies(key, note.text.encode(), note.signatures[0][2])
    if case["kind"] == "c2sp-checkpoint":
        read = v.CheckpointText(case["expected"].encode(), "checkpoint")
        assert (read.origin, read.size, read.root.hex()) == tuple(
            case["input"][field] for field in ("origin", "size", "root_hex")
        )


@pytest.mark.parametrize("case", load("bundle", "c2sp-vkey-parse"), ids=by_id)
def test_bad_keys_are_refused(case):
    with pytest.raises(v.Fault):
        v.parse_key(case["input"])


@pytest.mark.parametrize("case", load("bundle", "rfc6962-inclusion-verify"), ids=by_id)
def test_bad_inclusion_proofs_fail(case):
    given = case["input"]
    leaf = v.hashlib.sha256(b"\0" + bytes.fromhex(given["leaf_hex"])).digest()
    path = [bytes.fromhex(each) for each in given["path"]]
    with pytest.raises(v.Fault):
        v.check_inclusion(leaf, given["leaf_index"], given["tree_size"], bytes.fromhex(given["root"]), path)


@pytest.mark.parametrize("case", load("bundle", "rfc6962-consistency-verify"), ids=by_id)
def test_bad_consistency_proofs_fail(case):
    given = case["input"]
    path = [bytes.fromhex(each) for each in given["proof"]]
    with pytest.raises(v.Fault):
        v.check_consistency(
            given["old_size"],
            given["new_size"],
            bytes.fromhex(given["old_root"]),
            bytes.fromhex(given["new_root"]),
            path,
        )


def test_every_proof_of_small_trees_is_accepted_and_no_other_root():
    made = leaves(journal(17))
    for new in range(1, 18):
        root = merkle.root(made, new)
        for index in range(new):
            leaf = made.subtree(0, index)
            v.check_inclusion(leaf, index, new, root, merkle.inclusion(made, index, new))
        for old in range(new + 1):
            path = merkle.consistency(made, old, new)
            v.check_consistency(old, new, merkle.root(made, old), root, path)
            with pytest.raises(v.Fault):
                v.check_consistency(old, new, bytes(32), root, path)


@pytest.mark.parametrize("case", load("bundle", "rfc8785"), ids=by_id)
def test_canonical_order_is_that_of_utf_16(case):
    value = json.loads(case["input"]["json_text"])
    if "value_order" in case["expected"]:
        assert list(json.loads(v.canonical(value)).values()) == case["expected"]["value_order"], case[
            "source"
        ]


SOURCE = Path(v.__file__)


def test_it_is_one_file_of_the_standard_library_for_python_3_8():
    tree = ast.parse(SOURCE.read_text(encoding="utf-8"), feature_version=(3, 8))
    names = {alias.name for node in ast.walk(tree) if isinstance(node, ast.Import) for alias in node.names}
    names |= {node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)}
    assert {name.split(".")[0] for name in names} <= set(sys.stdlib_module_names)
    newer = {"removeprefix", "removesuffix", "bit_count", "randbytes", "pairwise", "cache"}
    assert not newer & {node.attr for node in ast.walk(tree) if isinstance(node, ast.Attribute)}
    assert not [node for node in ast.walk(tree) if isinstance(node, ast.keyword) and node.arg == "strict"]


@pytest.mark.parametrize("program", ["python3.8", "python3.9", "python3.13"])
def test_it_runs_on_other_pythons(program, tmp_path):
    python = shutil.which(program)
    if python is None or subprocess.run([python, "-V"], capture_output=True, check=False).returncode:
        pytest.skip(f"{program} is not here")
    (tmp_path / "verify.py").write_bytes(SOURCE.read_bytes())
    (tmp_path / "b.zip").write_bytes(zipped(FILES, "audit-L000012X"))
    done = subprocess.run(
        [python, "-I", "-S", tmp_path / "verify.py", tmp_path / "b.zip", "--key", PLANT.key],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, ""), done.stdout


def test_it_runs_by_itself_and_exits_as_it_says(tmp_path):
    folder = tmp_path / "audit-L000012X"
    for name, data in FILES.items():
        file = folder / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(data)
    archive = tmp_path / "b.zip"
    archive.write_bytes(zipped(FILES, "audit-L000012X"))

    def run(*words):
        done = subprocess.run(
            [sys.executable, "-I", "-S", folder / "verify.py", *words],
            capture_output=True,
            text=True,
            cwd=tmp_path,
            timeout=60,
            check=False,
        )
        assert "Traceback" not in done.stderr
        return done.returncode, done.stdout + done.stderr

    before = sorted(tmp_path.rglob("*"))
    code, out = run()
    assert code == 1
    assert "the key came from the bundle itself" in out
    assert run("--key", PLANT.key)[0] == 0
    assert run(archive, "--key", PLANT.key)[0] == 0
    assert run("--key", "nonsense")[0] == 2
    assert run(tmp_path / "none.zip")[0] == 3
    (folder / "tables" / "segments.csv").write_bytes(b"lot,first\nL000012X,2\n")
    code, out = run("--key", PLANT.key)
    assert code == 3
    assert "WRONG          file tables/segments.csv was changed" in out
    (folder / "more.txt").write_bytes(b"x")
    assert "more.txt is not in the manifest" in run()[1]
    assert sorted(tmp_path.rglob("*")) == sorted([*before, folder / "more.txt"])


def test_a_key_that_was_mistyped_and_a_checkpoint_that_is_not_there_end_in_a_sentence(capsys, tmp_path):
    first, rest = PLANT.key[:-2], PLANT.key[-2:]
    assert v.main(["--key", first + rest[::-1]]) == 2
    assert capsys.readouterr().err.endswith("was it mistyped?\n")
    assert v.main(["--held", str(tmp_path / "kept.txt")]) == 2
    assert capsys.readouterr().err == f"{tmp_path / 'kept.txt'} cannot be read: No such file or directory\n"


_CRAFTED = {
    "half a character in a proof": ("proofs.jsonl", b'{"path":["\\ud800"],"seq":2}\n'),
    "half a character in an entry": ("entries.jsonl", b'{"\\ud800":1}\n'),
    "half a character about the bundle": ("about.json", b'{"\\ud800":["\\udfff"]}'),
    "lists in lists": ("proofs.jsonl", b"[" * 60_000 + b"]" * 60_000 + b"\n"),
    "a proof of another shape": ("proofs.jsonl", b'{"path":{"a":1},"seq":2}\n'),
}


@pytest.mark.parametrize("name", _CRAFTED)
def test_a_bundle_crafted_to_break_the_check_does_not_verify(name, tmp_path, capsys):
    file, content = _CRAFTED[name]
    result = check(resealed(FILES, **{file: content}))
    assert result.code == 3
    assert result.faults
    place = tmp_path / "b.zip"
    place.write_bytes(zipped(resealed(FILES, **{file: content}), "b"))
    assert v.main([str(place), "--key", PLANT.key]) == 3
    assert "Traceback" not in "".join(capsys.readouterr())


@pytest.mark.parametrize("where", ["read_bundle", "check_manifest", "check_scans", "parse_key"])
@pytest.mark.parametrize("problem", [IndexError("x"), MemoryError(), RecursionError(), AssertionError()])
def test_whatever_is_not_caught_in_the_check_is_3_and_never_a_reservation(
    where, problem, monkeypatch, tmp_path
):
    def breaks(*_given):
        raise problem

    place = tmp_path / "b.zip"
    place.write_bytes(zipped(FILES, "b"))
    monkeypatch.setattr(v, where, breaks)
    assert v.main([str(place), "--key", PLANT.key]) == 3


def test_a_result_that_cannot_be_printed_is_3(tmp_path):
    place = tmp_path / "b.zip"
    place.write_bytes(zipped(FILES, "b"))
    with Path("/dev/full").open("wb") as full:
        done = subprocess.run(
            [sys.executable, v.__file__, str(place), "--key", PLANT.key],
            check=False,
            stdout=full,
            stderr=subprocess.PIPE,
        )
    assert done.returncode == 3
    assert b"Traceback" not in done.stderr


def test_letters_that_the_screen_has_not_are_no_fault(tmp_path):
    place = tmp_path / "b\u00e9.zip"
    place.write_bytes(zipped(FILES, "b"))
    done = subprocess.run(
        [sys.executable, v.__file__, f"{place}x"],
        check=False,
        capture_output=True,
        env={"PYTHONIOENCODING": "ascii"},
    )
    assert (done.returncode, done.stderr) == (3, b"")
    assert b"b\\xe9.zipx cannot be read" in done.stdout


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes with a name are of POSIX")
def test_a_pipe_is_refused_where_a_bundle_or_a_checkpoint_is_asked_for(tmp_path, capsys):
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    assert v.main([str(pipe)]) == 3
    assert v.main(["/dev/zero"]) == 3
    assert v.main([str(tmp_path), "--held", str(pipe)]) == 2
    said = capsys.readouterr()
    assert said.out.count("is neither a folder nor a plain file") == 2
    assert "is not a plain file" in said.err
