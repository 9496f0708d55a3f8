"""What a page of ours may do: run our own scripts and the engine, speak to where it came from, and nothing else."""

from __future__ import annotations

__all__ = ["HEADERS", "POLICY"]

POLICY = (
    "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; worker-src 'self'; connect-src 'self'; style-src 'self'; "
    "img-src 'self' data: blob:; manifest-src 'self'; form-action 'self'; base-uri 'self'; "
    "require-trusted-types-for 'script'; trusted-types spareway"
)
HEADERS = {
    "content-security-policy": f"{POLICY}; frame-ancestors 'none'",
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "x-frame-options": "DENY",
}
