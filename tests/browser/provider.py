"""A small sign-in provider (OpenID Connect Core 1.0 and Discovery 1.0): it lets in whom the test says."""

from __future__ import annotations

import json
import threading
import time
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import parse_qs, urlencode, urlsplit

from joserfc import jwt
from joserfc.jwk import RSAKey

CLIENT, SECRET = "desk", "a secret of the test"


@dataclass
class Provider:
    """The provider: ``who`` is the person whom the next sign-in lets in."""

    who: dict[str, Any] = field(default_factory=dict)
    key: RSAKey = field(default_factory=lambda: RSAKey.generate_key(2048, {"kid": "test"}, private=True))
    codes: dict[str, tuple[dict[str, Any], str | None]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        provider = self

        class Handler(_Handler):
            of = provider

        self.server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.address = f"http://127.0.0.1:{self.server.server_address[1]}"
        threading.Thread(target=self.server.serve_forever, daemon=True).start()

    def end(self) -> None:
        """Stop answering."""
        self.server.shutdown()
        self.server.server_close()

    def discovery(self) -> dict[str, Any]:
        """The provider's own description."""
        at = self.address
        return {
            "issuer": at,
            "authorization_endpoint": f"{at}/authorize",
            "token_endpoint": f"{at}/token",
            "jwks_uri": f"{at}/keys",
            "response_types_supported": ["code"],
            "subject_types_supported": ["public"],
            "id_token_signing_alg_values_supported": ["RS256"],
        }

    def token(self, code: str) -> dict[str, Any]:
        """The signed answer to a code, which is good once."""
        who, nonce = self.codes.pop(code)
        now = int(time.time())
        claims = {
            "iss": self.address,
            "aud": CLIENT,
            "sub": who["email"],
            "iat": now,
            "exp": now + 600,
            **who,
        }
        claims |= {"nonce": nonce} if nonce else {}
        signed = jwt.encode({"alg": "RS256", "kid": "test"}, claims, self.key)
        return {"access_token": code, "token_type": "Bearer", "expires_in": 600, "id_token": signed}


class _Handler(BaseHTTPRequestHandler):
    """Answers one request."""

    of: Provider

    def do_GET(self) -> None:
        asked = urlsplit(self.path)
        query = {name: values[0] for name, values in parse_qs(asked.query).items()}
        if asked.path == "/.well-known/openid-configuration":
            self._answer(self.of.discovery())
        elif asked.path == "/keys":
            self._answer({"keys": [self.of.key.as_dict(private=False)]})
        elif asked.path == "/authorize" and query.get("client_id") == CLIENT:
            code = f"code-{len(self.of.codes)}-{time.monotonic_ns()}"
            self.of.codes[code] = (dict(self.of.who), query.get("nonce"))
            back = urlencode({"code": code, "state": query["state"]})
            self.send_response(302)
            self.send_header("location", f"{query['redirect_uri']}?{back}")
            self.end_headers()
        else:
            self.send_error(404)

    def do_POST(self) -> None:
        body = parse_qs(self.rfile.read(int(self.headers["content-length"])).decode())
        self._answer(self.of.token(body["code"][0]))

    def _answer(self, told: dict[str, Any]) -> None:
        raw = json.dumps(told).encode()
        self.send_response(200)
        self.send_header("content-type", "application/json")
        self.send_header("content-length", str(len(raw)))
        self.end_headers()
        self.wfile.write(raw)

    def log_message(self, format: str, *args: Any) -> None:
        """Say nothing."""
