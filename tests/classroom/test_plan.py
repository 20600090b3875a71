"""A class's plan says in sentences what would not work, and fills in JupyterHub's configuration."""

import os
import pwd
import socket
import stat
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest
from traitlets.config import PyFileConfigLoader

from labkit.classroom import plan as planning
from labkit.classroom.plan import Plan
from labkit.text.messages import CircuitError
from tests.hub.school import three_ports


@pytest.fixture
def plan(tmp_path, monkeypatch):
    """Return a plan that would do for a trial, changed as asked; nobody here is root."""
    monkeypatch.setattr(planning, "is_root", lambda: False)

    def make(*names, **keys):
        given = {"own_accounts": False, "shared_password": True, "port": three_ports()}
        return Plan(names or ("ana", "bo"), tmp_path / "class", **{**given, **keys})

    return make


def refused(plan):
    with pytest.raises(CircuitError) as caught:
        plan.check()
    return "\n".join(caught.value.problems)


def test_a_trial_needs_nothing_more(plan):
    plan().check()


@pytest.mark.parametrize("name", ["Ana", "ana lopez", "ana/../bo", "-ana", "", "a" * 33, "ána"])
def test_a_name_that_nobody_can_log_in_by_is_refused(plan, name):
    assert "is not a login name" in refused(plan("bo", name))


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ({"ip": "0.0.0.0"}, "passwords would cross the network in clear; give --certificate"),
        ({"ip": "school"}, "--ip school: write an address"),
        ({"certificate": "no.pem", "key": "no.pem"}, "no.pem: no such file"),
        ({"certificate": __file__}, "go together; give both"),
        ({"port": 70000}, "choose one from"),
        ({"shared_password": False}, "start as root"),
    ],
)
def test_what_is_unsafe_or_missing_is_said_with_what_would_be_right(plan, keys, said):
    assert said in refused(plan(**keys))


def test_a_port_that_is_taken_is_said(plan):
    free = three_ports()
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", free + 2))
        taken.listen()
        assert f"port {free + 2}" in refused(plan(port=free))


@pytest.fixture
def node(tmp_path, monkeypatch):
    """A proxy of node's on the path."""
    script = tmp_path / "bin" / "configurable-http-proxy"
    script.parent.mkdir()
    script.write_text("#!/usr/bin/env node\n")
    script.chmod(0o755)
    monkeypatch.setenv("PATH", str(script.parent), prepend=os.pathsep)
    return script


def test_tls_needs_the_proxy_that_speaks_it(plan, monkeypatch, tmp_path):
    monkeypatch.setenv("PATH", str(tmp_path))
    tls = plan(certificate=__file__, key=__file__)
    assert "knows no TLS; install node's (npm install -g configurable-http-proxy)" in refused(tls)


def test_a_network_is_fine_with_tls(plan, node):
    plan(ip="0.0.0.0", certificate=__file__, key=__file__).check()


def test_root_starts_nobody_without_an_account(plan, monkeypatch):
    monkeypatch.setattr(planning, "is_root", lambda: True)
    assert "every learner needs an account" in refused(plan())
    own = plan("nosuchlearner", "root", own_accounts=True)
    assert "nosuchlearner: no such account" in refused(own)
    assert "useradd --create-home nosuchlearner" in refused(own)
    assert "root: is root's account" in refused(own)


def test_a_folder_that_learners_cannot_pass_is_named(plan):
    with tempfile.TemporaryDirectory() as folder:
        open_, shut = Path(folder), Path(folder, "shut")
        open_.chmod(0o755)
        shut.mkdir(mode=0o700)
        who = pwd.getpwuid(os.getuid()).pw_name
        said = refused(Plan((who, "nosuchlearner"), shut / "class", own_accounts=True))
        assert f"{shut}: learners may not enter it, and need what is in {shut}" in said
        said = refused(Plan((who, "nosuchlearner"), open_ / "class", own_accounts=True))
        assert f"{open_}: learners" not in said


def test_what_is_not_installed_is_named_with_how_to_get_it(plan, monkeypatch):
    monkeypatch.setattr(planning.importlib.util, "find_spec", lambda name: None)
    monkeypatch.setattr(planning, "proxy", lambda tls=False: [])
    said = refused(plan())
    assert "jupyterhub and configurable-http-proxy; pip install 'labkit[class]'" in said


def loaded(plan):
    """The configuration as JupyterHub reads it."""
    plan.folder.parent.mkdir(exist_ok=True)
    file = plan.folder.parent / "config.py"
    file.write_text(plan.configuration, "utf-8")
    umask = os.umask(0o022)
    try:
        return PyFileConfigLoader(str(file)).load_config()
    finally:
        os.umask(umask)


def test_the_configuration_lets_in_the_class_and_nobody_else(plan, tmp_path):
    read = loaded(plan())
    assert read.Authenticator.allowed_users == {"ana", "bo"}
    assert read.Authenticator.allow_existing_users is False
    assert read.JupyterHub.authenticator_class == "shared-password"
    assert read.JupyterHub.spawner_class == "simple"
    assert len(read.SharedPasswordAuthenticator.user_password) >= 8
    assert read.SharedPasswordAuthenticator.user_password == plan().folders.password
    assert stat.S_IMODE((tmp_path / "class" / "hub" / "password").stat().st_mode) == 0o600
    assert stat.S_IMODE((tmp_path / "class" / "hub").stat().st_mode) == 0o700


def test_accounts_of_their_own_keep_learners_apart(plan):
    read = loaded(plan(own_accounts=True, shared_password=False))
    assert read.JupyterHub.authenticator_class == "pam"
    assert read.JupyterHub.spawner_class == "localprocess"
    assert "SharedPasswordAuthenticator" not in read


def test_pips_proxy_holds_a_whole_class_that_waits():
    code = (
        "import asyncio, runpy, sys; sys.argv[1:] = ['--version']\n"
        "try: runpy.run_module('labkit.classroom.proxy', run_name='__main__')\n"
        "except SystemExit: pass\n"
        "from tornado.httpclient import AsyncHTTPClient, HTTPRequest\n"
        "async def made(): return AsyncHTTPClient()\n"
        "it = asyncio.run(made()); print(it.max_clients, *[d['request_timeout'] for "
        "d in (it.defaults, HTTPRequest._DEFAULTS)])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "2000 600.0 600.0"


def test_tls_is_for_whoever_comes_from_elsewhere(plan, node):
    read = loaded(plan(ip="192.168.1.10", port=8443, certificate="a.pem", key="b.pem"))
    assert read.JupyterHub.bind_url == "https://192.168.1.10:8443"
    assert (read.JupyterHub.ssl_cert, read.JupyterHub.ssl_key) == ("a.pem", "b.pem")
    assert read.JupyterHub.hub_bind_url == "http://127.0.0.1:8444"
    assert read.ConfigurableHTTPProxy.command == [str(node)]


def test_an_exam_is_held_where_no_learner_can_read_it(plan, tmp_path):
    assert "no such folder" in refused(plan(exam="none"))
    dealt = tmp_path / "dealt"
    dealt.mkdir(mode=0o755)
    assert "cannot be kept from learners who share your account" in refused(plan(exam=str(dealt)))
    assert f"chmod 700 {dealt}" in refused(plan(exam=str(dealt), own_accounts=True))
    read = loaded(plan(exam=str(dealt), own_accounts=True, port=8000))
    (service,) = read.JupyterHub.services
    assert service["command"][-2:] == ["referee", str(dealt)]
    assert read.Spawner.environment["LABKIT_REFEREE"].startswith(service["url"])
    asks = [role["scopes"][-1] for role in read.JupyterHub.load_roles]
    assert asks == ["access:services!service=referee"] * 2
    assert "services" not in loaded(plan()).JupyterHub


@pytest.mark.parametrize("folder", ['a "quoted" one', "back\\slash", "{brace}"])
def test_a_folder_of_any_name_is_filled_in_as_it_is(plan, tmp_path, folder):
    made = Plan(("ana",), tmp_path / folder / "class", own_accounts=False, shared_password=True)
    read = loaded(made)
    assert read.JupyterHub.cookie_secret_file == str(made.folders.hub / "cookie_secret")
