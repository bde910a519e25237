"""A webhook receiver to try the service with; the standard library is enough.

    python3 examples/receive_webhooks.py PORT SECRET

Verifies each message as Standard Webhooks 1.0 says, and prints it: base64 of the HMAC-SHA256 over
"id.timestamp.body", keyed with the bytes of the secret behind "whsec_". Old messages are refused.
"""

import base64
import hashlib
import hmac
import sys
import time
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

AGE_S_MAX = 5 * 60
BODY_BYTES_MAX = 65_536


def is_genuine(secret, headers, body):
    """`headers` can be asked by lower-case name; `body` is the bytes as they came."""
    message_id = headers.get("webhook-id", "")
    timestamp = headers.get("webhook-timestamp", "")
    if not timestamp.isdecimal() or abs(time.time() - int(timestamp)) > AGE_S_MAX:
        return False
    key = base64.b64decode(secret.removeprefix("whsec_"))
    signed = f"{message_id}.{timestamp}.".encode() + body
    expected = b"v1," + base64.b64encode(hmac.new(key, signed, hashlib.sha256).digest())
    found = headers.get("webhook-signature", "").encode().split(b" ")
    return any(hmac.compare_digest(expected, signature) for signature in found)


class Receiver(BaseHTTPRequestHandler):
    def do_POST(self):
        length = int(self.headers.get("content-length", 0))
        body = self.rfile.read(min(length, BODY_BYTES_MAX))
        genuine = is_genuine(self.server.secret, self.headers, body)
        self.send_response(204 if genuine else 400)
        self.end_headers()
        # A real receiver keeps the ids it has seen: the same event may come twice.
        said = f"verified {self.headers['webhook-id']} {body.decode()}"
        print(said if genuine else "refused: the signature is wrong", flush=True)

    def log_message(self, *_):
        """Nothing but the messages themselves."""


if __name__ == "__main__":
    if len(sys.argv) != 3 or not sys.argv[2].startswith("whsec_"):
        sys.exit("Usage: python3 examples/receive_webhooks.py PORT SECRET (as the API gave it, whsec_...)")
    server = ThreadingHTTPServer(("127.0.0.1", int(sys.argv[1])), Receiver)
    server.secret = sys.argv[2]
    print(f"listening on http://127.0.0.1:{server.server_port}", flush=True)
    try:
        server.serve_forever()
    except KeyboardInterrupt:
        pass
