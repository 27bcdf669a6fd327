"""A page in Debian's chromium, driven over WebDriver: measured in the browser, not guessed at.

    with Browser() as browser:
        faults = browser.faults("file:///page.html", width=360)
"""
import base64
import json
import pathlib
import shutil
import socket
import subprocess
import tempfile
import time
import urllib.error
import urllib.request

FLAGS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
         "--disable-background-networking", "--disable-component-update", "--disable-sync",
         "--hide-scrollbars", "--disable-default-apps", "--disable-extensions"]
LOOK = (pathlib.Path(__file__).parent / "look.js").read_text(encoding="utf-8")


def missing():
    """What is not installed, or ""."""
    return ", ".join(name for name in ("chromium", "chromedriver") if not shutil.which(name))


def free_port():
    with socket.socket() as sock:
        sock.bind(("127.0.0.1", 0))
        return sock.getsockname()[1]


class Browser:
    """One browser with a profile of its own, gone when it is left."""

    def __enter__(self):
        self.profile = tempfile.mkdtemp()
        port = free_port()
        self.base = f"http://127.0.0.1:{port}"
        self.driver = subprocess.Popen(
            ["chromedriver", f"--port={port}"], stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        try:
            self.start()
        except BaseException:
            self.__exit__()
            raise
        return self

    def start(self):
        until = time.monotonic() + 60
        while True:
            try:
                if self.call("GET", "/status")["ready"]:
                    break
            except OSError:
                if time.monotonic() > until:
                    raise
                time.sleep(0.1)
        options = {"args": FLAGS + [f"--user-data-dir={self.profile}"],
                   "binary": shutil.which("chromium")}
        asked = {"browserName": "chrome", "goog:chromeOptions": options,
                 "goog:loggingPrefs": {"performance": "ALL"}}
        made = self.call("POST", "/session", {"capabilities": {"alwaysMatch": asked}})
        self.base += "/session/" + made["sessionId"]
        # A page of the browser's own may still be coming, and would get in the way of ours.
        until = time.monotonic() + 30
        while True:
            try:
                self.call("POST", "/url", {"url": "about:blank"})
                if self.run("return document.URL") == "about:blank":
                    break
            except urllib.error.HTTPError:
                if time.monotonic() > until:
                    raise
            time.sleep(0.1)

    def __exit__(self, *_):
        if "/session/" in self.base:
            try:
                self.call("DELETE", "")
            except OSError:
                pass
        self.driver.terminate()
        self.driver.wait()
        shutil.rmtree(self.profile, ignore_errors=True)

    def call(self, method, path, body=None):
        data = None if body is None else json.dumps(body).encode()
        request = urllib.request.Request(self.base + path, data=data, method=method,
                                         headers={"Content-Type": "application/json"})
        try:
            with urllib.request.urlopen(request, timeout=120) as answer:
                return json.load(answer)["value"]
        except urllib.error.HTTPError as error:
            error.msg += ": " + error.read().decode(errors="replace")[:400]
            raise

    def command(self, name, **parameters):
        return self.call("POST", "/goog/cdp/execute", {"cmd": name, "params": parameters})

    def requests(self):
        """Every address that was asked for since the last call, but by the browser's own first page."""
        asked = []
        for entry in self.call("POST", "/se/log", {"type": "performance"}):
            message = json.loads(entry["message"])["message"]
            if message["method"] == "Network.requestWillBeSent" and \
                    not message["params"].get("documentURL", "").startswith("chrome://"):
                asked.append(message["params"]["request"]["url"])
        return asked

    def faults(self, address, width, height=800, media="screen"):
        """Everything that is wrong with a page at a width, as a list of lines."""
        self.command("Emulation.setDeviceMetricsOverride", width=width, height=height,
                     deviceScaleFactor=1, mobile=False)
        self.command("Emulation.setEmulatedMedia", media=media)
        self.requests()
        self.call("POST", "/url", {"url": address})
        asked = [url for url in self.requests() if url != address and url != "data:,"]
        faults = [f"asks for {url}" for url in asked]
        return faults + self.call("POST", "/execute/sync", {"script": LOOK, "args": []})

    def run(self, script):
        return self.call("POST", "/execute/sync", {"script": script, "args": []})

    def pages(self, address, paper):
        """The number of printed pages."""
        sizes = {"A4": (21.0, 29.7), "Letter": (21.59, 27.94)}
        self.command("Emulation.setEmulatedMedia", media="")
        self.command("Emulation.clearDeviceMetricsOverride")
        self.call("POST", "/url", {"url": address})
        width, height = sizes[paper]
        printed = base64.b64decode(self.call("POST", "/print", {
            "page": {"width": width, "height": height},
            "margin": {"top": 1.3, "bottom": 1.3, "left": 1.3, "right": 1.3}}))
        return printed.count(b"/Type /Page\n") + printed.count(b"/Type /Page>") + \
            printed.count(b"/Type /Page ") + printed.count(b"/Type/Page/")
