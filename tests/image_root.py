"""Lives in the image's file system as a container would: python3 image_root.py ROOT DOCKERFILE

Called by tests/image in namespaces of its own. The user, the variables and the commands are those of the Dockerfile.
"""

import ctypes
import fcntl
import json
import os
import re
import select
import signal
import socket
import struct
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
from pathlib import Path

ROOT = Path(sys.argv[1])
DOCKERFILE = Path(sys.argv[2]).read_text().replace("\\\n", " ").rpartition("\nFROM scratch\n")[2]

PROGRAM = "/usr/local/bin/evenround"
PATTERN = "Rnd 1: 6 sc in magic ring. (6)\nRnd 2: 2 sc in each st around. (12)\n"


def instruction(name):
    found = re.findall(rf"^{name} (.*)$", DOCKERFILE, re.MULTILINE)
    assert found, f"the image has no {name}"
    return found


USER, GROUP = map(int, instruction("USER")[0].split(":"))
ENVIRONMENT = dict(pair.split("=", 1) for line in instruction("ENV") for pair in line.split())
WORKDIR = instruction("WORKDIR")[0]
ENTRYPOINT = json.loads(instruction("ENTRYPOINT")[0])
SERVE = ENTRYPOINT + json.loads(instruction("CMD")[0])
HEALTHCHECK = json.loads(re.search(r" CMD (.*)$", instruction("HEALTHCHECK")[0]).group(1))
STOPSIGNAL = signal.Signals[instruction("STOPSIGNAL")[0]]
PORT = int(instruction("EXPOSE")[0])


def confine():
    """What an engine does last: into the root, no privileges to be gained, another user."""
    os.chroot(ROOT)
    os.chdir(WORKDIR)
    if ctypes.CDLL(None).prctl(38, 1, 0, 0, 0) != 0:  # PR_SET_NO_NEW_PRIVS
        raise OSError("privileges could still be gained")
    os.setgroups([])
    os.setresgid(GROUP, GROUP, GROUP)
    os.setresuid(USER, USER, USER)


def start(command, **more):
    environment = ENVIRONMENT | more
    return subprocess.Popen(
        command, preexec_fn=confine, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )


def run(*arguments, **more):
    process = start([PROGRAM, *arguments], **more)
    out, err = process.communicate(timeout=60)
    return process.returncode, out, err


def serving():
    process = start(SERVE, EVENROUND_LOG="warn")
    ready, _, _ = select.select([process.stdout], [], [], 60)
    line = process.stdout.readline() if ready else ""
    assert f":{PORT}" in line, f"it does not say where it listens: {line!r} {process.stderr.read()}"
    return process


def stop(process):
    began = time.monotonic()
    process.send_signal(STOPSIGNAL)
    _, err = process.communicate(timeout=15)
    assert process.returncode == 0, (process.returncode, err)
    assert time.monotonic() - began < 5, "nothing was in progress, so it stops at once"


def healthy():
    process = start(HEALTHCHECK)
    process.communicate(timeout=10)
    return process.returncode


def ask(path, body=None, key=None, media_type="application/json"):
    headers = {"content-type": media_type} | ({"authorization": f"Bearer {key}"} if key else {})
    data = body.encode() if body is not None else None
    request = urllib.request.Request(f"http://127.0.0.1:{PORT}{path}", data, headers)
    try:
        with urllib.request.urlopen(request, timeout=30) as answer:
            return answer.status, answer.headers, answer.read().decode()
    except urllib.error.HTTPError as refused:
        return refused.code, refused.headers, refused.read().decode()


def tree():
    """All that is in the root, outside of /data, with what would show that somebody wrote there."""
    found = {}
    for folder, folders, files in os.walk(ROOT):
        if Path(folder) in (ROOT / "data", ROOT / "dev"):
            folders.clear()
            continue
        for name in ["", *files]:
            path = Path(folder, name)
            status = path.lstat()
            found["/" + str(path.relative_to(ROOT)).removeprefix(".")] = (
                status.st_mode, status.st_uid, status.st_gid, status.st_size, status.st_mtime_ns
            )
    return found


def loopback():
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as one:
        fcntl.ioctl(one, 0x8914, struct.pack("16sH14s", b"lo", 0x1 | 0x40, b""))  # SIOCSIFFLAGS: up and running


def names(asked):
    """A name server that knows one name, as an engine's knows those of the other containers."""
    server = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    server.bind(("127.0.0.1", 53))
    while True:
        question, whom = server.recvfrom(512)
        name, at = [], 12
        while question[at]:
            name.append(question[at + 1 : at + 1 + question[at]].decode())
            at += 1 + question[at]
        kind = int.from_bytes(question[at + 1 : at + 3], "big")
        name = ".".join(name)
        asked.add(name)
        known = name == "database.marsh.test"
        answers = b"\xc0\x0c\x00\x01\x00\x01\x00\x00\x00\x3c\x00\x04\x7f\x00\x00\x01" if known and kind == 1 else b""
        flags = 0x8180 if known else 0x8183
        head = question[:2] + struct.pack(">HHHHH", flags, 1, 1 if answers else 0, 0, 0)
        server.sendto(head + question[12 : at + 5] + answers, whom)


def check_contents(before):
    """Exactly what is meant to be there, and nothing of it the service's own."""
    files = {path for path, (mode, *_) in before.items() if mode & 0o170000 != 0o040000}
    assert files == {
        PROGRAM,
        "/etc/hosts",
        "/etc/resolv.conf",
        "/etc/ssl/certs/ca-certificates.crt",
        "/usr/share/doc/evenround/CHANGELOG.md",
        "/usr/share/doc/evenround/LICENSE-APACHE",
        "/usr/share/doc/evenround/LICENSE-MIT",
    }, files
    for path, (mode, user, group, *_) in before.items():
        assert (user, group) == (0, 0) and not mode & 0o6022, f"{path} is not root's alone"
    data = (ROOT / "data").stat()
    assert (data.st_uid, data.st_gid) == (USER, GROUP), "/data is not the service's"


def check_life():
    assert healthy() != 0, "nothing runs yet"
    code, out, err = run("serve")
    assert code == 2 and out == "" and "key create" in err, f"open to everybody: {code} {out} {err}"
    code, out, err = run("key", "create", "--scope", "write", "--name", "the blog")
    assert code == 0, err
    key = out.strip()

    service = serving()
    assert healthy() == 0
    status, _, body = ask("/v1/verifications", PATTERN, media_type="text/plain")
    assert status == 200 and "Holds" in body, (status, body)
    status, _, body = ask("/v1/designs", json.dumps({"title": "Wigeon Cap", "pattern": PATTERN}))
    assert status == 401, f"the engine's network is not this machine: {status} {body}"
    status, headers, body = ask("/v1/designs", json.dumps({"title": "Wigeon Cap", "pattern": PATTERN}), key)
    assert status == 201, (status, body)
    design = headers["location"]
    code, _, err = run("backup", "/data/marsh.backup")
    assert code == 0, err
    stop(service)
    assert healthy() != 0

    service = serving()
    status, _, body = ask(design, key=key)
    assert status == 200 and json.loads(body)["title"] == "Wigeon Cap", (status, body)
    stop(service)
    code, _, err = run("restore", "/data/marsh.backup", "--database", "sqlite:/data/second.db")
    assert code == 0, err
    left = {path.name for path in (ROOT / "data").iterdir()}
    assert left == {"evenround.db", "marsh.backup", "second.db"}, left


def check_nothing_else_is_written():
    for place in ["/marsh.backup", "/etc/marsh.backup", "/usr/local/bin/marsh.backup", "/tmp/marsh.backup"]:
        code, _, err = run("backup", place)
        assert code != 0 and ("read-only" in err.lower() or "no such file" in err.lower() or "unable to open" in err), err
    code, _, err = run("serve", "--open", "--database", "sqlite:/etc/evenround.db")
    assert code == 2 and "unable to open" in err, err


def check_names():
    """A program with a C library in it looks names up by itself, in /etc/hosts and by DNS."""
    asked = set()
    threading.Thread(target=names, args=(asked,), daemon=True).start()
    tried = {
        name: start([PROGRAM, "serve", "--database", f"postgres://marsh@{name}:1/evenround"])
        for name in ["localhost", "database.marsh.test", "nowhere.marsh.test"]
    }
    said = {name: process.communicate(timeout=60)[1] for name, process in tried.items()}
    for name in ["localhost", "database.marsh.test"]:
        assert "refused" in said[name].lower(), f"{name} is not found: {said[name]}"
    assert "lookup" in said["nowhere.marsh.test"], said
    assert "database.marsh.test" in asked and "localhost" not in asked, asked


# What an engine adds to every container.
(ROOT / "etc/hosts").write_text("127.0.0.1 localhost\n")
(ROOT / "etc/resolv.conf").write_text("nameserver 127.0.0.1\n")
subprocess.run(["mount", "--bind", ROOT, ROOT], check=True)
(ROOT / "dev").mkdir()
for device in ["null", "random", "urandom"]:
    (ROOT / "dev" / device).touch()
    subprocess.run(["mount", "--bind", f"/dev/{device}", ROOT / "dev" / device], check=True)
subprocess.run(["mount", "-t", "tmpfs", "-o", f"uid={USER},gid={GROUP},mode=0750", "data", ROOT / "data"], check=True)
subprocess.run(["mount", "-o", "remount,bind,ro", ROOT], check=True)
loopback()

before = tree()
check_contents(before)
check_life()
check_nothing_else_is_written()
check_names()
assert tree() == before, "something outside of /data has changed"
print("the image starts, is asked, stops and starts again, keeps what it was given, and writes nowhere else")
