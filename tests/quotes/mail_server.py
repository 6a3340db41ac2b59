"""A mail server of a few lines: takes messages, refuses them, or says nothing."""

import contextlib
import socketserver
import threading


class _Talk(socketserver.StreamRequestHandler):
    """One client; what the server says at each word is set by the test."""

    def say(self, line):
        self.wfile.write(line.encode() + b"\r\n")

    def handle(self):
        if self.server.silent:
            self.server.ended.wait(10)
            return
        self.say(self.server.hello)
        for line in self.rfile:
            text = line.decode("utf-8", "replace").strip()
            word = text.split()[0].upper() if text else ""
            self.server.said[word] = text
            if not self.answer(word, self.server.replies.get(word, "250 good")):
                return

    def answer(self, word, reply):
        """Say what the test wants said; whether there is more to come."""
        if reply == "hang":
            self.server.ended.wait(10)
        if reply in ("hang", "close"):
            return False
        self.say(reply)
        if word == "DATA" and reply.startswith("354"):
            taken, last = self.read_message(), self.server.replies.get(".", "250 taken")
            if last.startswith("250"):
                self.server.taken.append(taken)
            return self.answer("", last)
        return word != "QUIT"

    def read_message(self):
        lines = []
        for line in self.rfile:
            if line == b".\r\n":
                break
            lines.append(line)
        return b"".join(lines)


class _Server(socketserver.ThreadingTCPServer):
    daemon_threads = True
    allow_reuse_address = True


@contextlib.contextmanager
def mail_server(settings, *, silent=False, seconds=5, hello="220 here", **replies):
    """Let the shop's mail go to a server of this test; gives the server.

    ``replies`` are what it says to a word ("." is the end of a message); "hang" says
    nothing and "close" closes the line.
    """
    server = _Server(("127.0.0.1", 0), _Talk)
    server.silent, server.taken, server.ended = silent, [], threading.Event()
    server.hello, server.said = hello, {}
    server.replies = {"DATA": "354 go on", "QUIT": "221 bye"} | replies
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = server.server_address
    settings.EMAIL_USE_TLS = settings.EMAIL_USE_SSL = False
    settings.EMAIL_TIMEOUT = seconds
    thread = threading.Thread(target=server.serve_forever, args=(0.02,), daemon=True)
    thread.start()
    try:
        yield server
    finally:
        server.ended.set()
        server.shutdown()
        server.server_close()
        thread.join()
