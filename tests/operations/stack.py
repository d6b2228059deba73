"""The production stack as the units start it: each process on a port of its own, behind nginx."""

import os
import re
import shlex
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

from tests.outbox.processes import database_url
from tests.shape.source import ROOT

OPERATIONS = ROOT / "paddock" / "operations"
NGINX = "/usr/sbin/nginx"
HOST = "paddock.example"


def free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return free.getsockname()[1]


def command(unit: str, key: str = "ExecStart", **ports: int) -> list[str]:
    """What a unit of ours runs, from this checkout and on other ports (``p8001=...``)."""
    text = (OPERATIONS / "systemd" / f"{unit}.service").read_text().replace("\\\n", " ")
    (line,) = re.findall(rf"^{key}=(.+)$", text, re.MULTILINE)
    line = line.replace("/opt/paddock/.venv/bin", str(Path(sys.executable).parent))
    for name, port in ports.items():
        line = line.replace(name.removeprefix("p"), str(port))
    return shlex.split(line)


def nginx_conf(folder: Path, *, port: int, pages: list[int], live: int) -> Path:
    """Our server block without the certificate, in a whole configuration that runs as anybody."""
    block = (OPERATIONS / "proxy" / "nginx.conf").read_text()
    upstream = "".join(f"server 127.0.0.1:{one} max_fails=0;\n" for one in pages)
    block = block.replace("server 127.0.0.1:8001 max_fails=0;", upstream)
    block = block.replace("127.0.0.1:8002", f"127.0.0.1:{live}")
    block = re.sub(r"server \{\s+listen 80;.*?\n\}\n", "", block, flags=re.DOTALL)
    block = re.sub(r"\n *ssl_certificate\S* .*;", "", block)
    block = block.replace("listen 443 ssl http2;", f"listen 127.0.0.1:{port};")
    block = block.replace("X-Forwarded-Proto $scheme", "X-Forwarded-Proto https")
    block = block.replace("/var/log/nginx/paddock.log", str(folder / "access.log"))
    paths = "".join(
        f"{kind}_temp_path {folder / kind};"
        for kind in ("client_body", "proxy", "fastcgi", "uwsgi", "scgi")
    )
    file = folder / "nginx.conf"
    user = "user root;\n" if os.geteuid() == 0 else ""  # the folder is its owner's alone
    file.write_text(
        f"{user}daemon off; pid {folder / 'nginx.pid'}; error_log {folder / 'nginx.log'};\n"
        f"events {{}}\nhttp {{ {paths}\n{block} }}\n"
    )
    return file


class Stack:
    """``start`` all of it; ``stop`` it. ``processes`` by name, to be killed."""

    def __init__(self, folder: Path, *, redis_url: str, mail_port: int) -> None:
        self.folder = folder
        self.processes: dict[str, subprocess.Popen] = {}
        self.commands: dict[str, list[str]] = {}
        self.port, self.first, self.second, self.live = (free_port() for _ in range(4))
        self.variables = {
            "DJANGO_SETTINGS_MODULE": "paddock.settings",
            "BACKUP_HOUR": "off",
            "SECRET_KEY": "only-for-tests",
            "DATABASE_URL": database_url(),
            "REDIS_URL": redis_url,
            "DATA_DIR": str(folder),
            "HTTPS": "1",
            "ALLOWED_HOSTS": f"{HOST},127.0.0.1",
            "PUBLIC_URL": f"https://{HOST}",
            "MAIL_URL": f"smtp://127.0.0.1:{mail_port}",
            "PYTHONWARNINGS": "ignore",
        }

    def start(self) -> None:
        setup = command("paddock-pages", "ExecStartPre")
        subprocess.run(setup, cwd=ROOT, env={**os.environ, **self.variables}, check=True)
        conf = nginx_conf(
            self.folder, port=self.port, pages=[self.first, self.second], live=self.live
        )
        self.run("proxy", [NGINX, "-c", str(conf), "-p", str(self.folder)])
        self.run("first", command("paddock-pages", p8001=self.first))
        self.run("second", command("paddock-pages", p8001=self.second))
        self.run("live", command("paddock-live", p8002=self.live))
        self.run("worker", command("paddock-worker"))
        for port in (self.first, self.second, self.live, self.port):
            self.wait_for(port)

    def run(self, name: str, line: list[str]) -> None:
        self.commands[name] = line
        with (self.folder / f"{name}.log").open("a") as log:
            self.processes[name] = subprocess.Popen(
                line,
                cwd=ROOT,
                env={**os.environ, **self.variables},
                stdout=log,
                stderr=log,
                start_new_session=True,
            )

    def wait_for(self, port: int, patience_s: float = 60) -> None:
        end = time.monotonic() + patience_s
        while self.status(port) != 200:
            assert time.monotonic() < end, self.said()
            time.sleep(0.2)

    def status(self, port: int, path: str = "/healthz") -> int:
        try:
            with urllib.request.urlopen(f"http://127.0.0.1:{port}{path}", timeout=20) as answer:
                return answer.status
        except urllib.error.HTTPError as error:
            return error.code
        except OSError:
            return 0

    def said(self) -> str:
        logs = sorted(self.folder.glob("*.log"))
        return "\n".join(f"== {log.name}\n{log.read_text()[-1500:]}" for log in logs)

    def kill(self, name: str) -> None:
        """kill -9, with all its children."""
        process = self.processes.pop(name)
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()

    def stop(self) -> None:
        for name in list(self.processes):
            self.kill(name)
