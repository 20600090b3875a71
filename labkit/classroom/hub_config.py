"""What a class's hub is told. JupyterHub reads this file.

Printed by `labkit class --print-config` with its first lines filled in; keep it, change it, and
start the hub from it by `labkit class --config FILE`. JupyterHub's documentation explains every
name behind `c.`; what stands here is what this course needs, and why.
"""

import os
import sys
from pathlib import Path

from labkit.classroom.enter import COURSE, HUNTS
from labkit.classroom.folders import Folders
from labkit.classroom.plan import proxy
from labkit.widgets.saved import HOOK

# The class: its login names, its folder, and how it is reached.
NAMES: list[str] = []
FOLDER = "class"
OWN_ACCOUNTS = True  # False: all learners share the account that starts the hub
SHARED_PASSWORD = False  # True: one password for all, for a trial; else each account's own
IP = "127.0.0.1"
PORT = 8000  # and the three behind it, for hub, proxy and referee to speak to each other
CERTIFICATE = ""
KEY = ""
LAID = "lessons"  # which hunts lie in each home: those the lessons name, or "all"
EXAM = ""  # a folder that `labkit deal --to` wrote

os.umask(0o077)  # the database and the cookie secret are nobody else's to read
folders = Folders(Path(FOLDER), OWN_ACCOUNTS)
folders.make()
c = get_config()  # type: ignore[name-defined]  # noqa: F821  # JupyterHub's own

# Where it listens. What goes through a network has to be encrypted: passwords go through it.
host = f"[{IP}]" if ":" in IP else IP
c.JupyterHub.bind_url = f"http{'s' if CERTIFICATE else ''}://{host}:{PORT}"
c.JupyterHub.hub_bind_url = f"http://127.0.0.1:{PORT + 1}"
c.ConfigurableHTTPProxy.api_url = f"http://127.0.0.1:{PORT + 2}"
c.ConfigurableHTTPProxy.command = proxy(tls=bool(CERTIFICATE))
c.JupyterHub.ssl_cert = CERTIFICATE
c.JupyterHub.ssl_key = KEY

# What the hub keeps. The log tells what went wrong; DEBUG, 10, tells everything.
c.JupyterHub.db_url = f"sqlite:///{folders.hub / 'hub.sqlite'}"
c.JupyterHub.cookie_secret_file = str(folders.hub / "cookie_secret")
c.ConfigurableHTTPProxy.pid_file = str(folders.hub / "proxy.pid")
c.JupyterHub.log_level = 30

# Who may come in: the class, and nobody who was in it once.
c.Authenticator.allowed_users = set(NAMES)
c.Authenticator.allow_existing_users = False
if SHARED_PASSWORD:
    c.JupyterHub.authenticator_class = "shared-password"
    c.SharedPasswordAuthenticator.user_password = folders.password
else:
    c.JupyterHub.authenticator_class = "pam"

# Whose account a server runs under. Where there is systemd, its spawner is the better one: the same
# accounts, and memory and processor can be limited (pip install jupyterhub-systemdspawner, then
# c.JupyterHub.spawner_class = "systemd" and c.SystemdSpawner.mem_limit = "1G").
if OWN_ACCOUNTS:
    c.JupyterHub.spawner_class = "localprocess"
else:
    c.JupyterHub.spawner_class = "simple"
    c.SimpleLocalProcessSpawner.home_dir_template = str(folders.homes / "{username}")

# What a server does: it lays the course as its learner, and opens the first lesson. A notebook left
# for two hours lets its kernel go; a hunt is on disk act by act, and goes on when opened again.
c.Spawner.cmd = [sys.executable, "-P", "-m", "labkit.classroom.enter"]
# Kernels speak through sockets in a folder of their own: ports, which a class that comes in at once
# would take from one another, are open to everybody on the machine.
c.Spawner.args = [
    HOOK, "--MappingKernelManager.cull_idle_timeout=7200", "--ServerApp.log_level=30",
    "--KernelManager.transport=ipc",
]  # fmt: skip  # rows that a reader compares
c.Spawner.notebook_dir = f"~/{COURSE}"
c.Spawner.default_url = "/lab/tree/notebooks/01-start-here.ipynb"
c.Spawner.pre_spawn_hook = folders.tell_records
c.Spawner.environment = {"OPENBLAS_NUM_THREADS": "1", HUNTS: LAID}

# A class comes in all at once. A limit here would send whoever is too many to a page that asks them
# to try again; without one, each waits at the page that shows how far their server is.
c.JupyterHub.concurrent_spawn_limit = 0
c.Spawner.start_timeout = 600
c.Spawner.http_timeout = 600
c.Spawner.poll_interval = 10  # a server that ended is noticed so soon [s]

# An exam: the referee holds the faulty boats, a service under the hub's own account, where no
# learner's kernel can read. Learners write `exam()` in a notebook; their server's token says who
# asks. Its records lie in EXAM/records, for labkit marks.
if EXAM:
    c.JupyterHub.services = [
        {
            "name": "referee",
            "url": f"http://127.0.0.1:{PORT + 3}",
            "command": [sys.executable, "-P", "-m", "labkit.cli.main", "referee", EXAM],
        }
    ]
    may_ask = "access:services!service=referee"
    c.JupyterHub.load_roles = [
        {"name": "user", "scopes": ["self", may_ask]},
        {"name": "server", "scopes": ["users:activity!user", "access:servers!server", may_ask]},
    ]
    c.Spawner.environment["LABKIT_REFEREE"] = f"http://127.0.0.1:{PORT + 3}/services/referee/"
