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
        self.say("220 here")
        for line in self.rfile:
            word = line.split()[0].decode().upper() if line.split() else ""
            reply = self.server.replies.get(word, "250 good")
            self.say(reply)
            if word == "DATA" and reply.startswith("354"):
                self.server.taken.append(self.read_message())
                self.say("250 taken")
            if word == "QUIT":
                return

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
def mail_server(settings, *, silent=False, seconds=5, **replies):
    """Let the shop's mail go to a server of this test; gives the server."""
    server = _Server(("127.0.0.1", 0), _Talk)
    server.silent, server.taken, server.ended = silent, [], threading.Event()
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
