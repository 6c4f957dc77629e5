# SPDX-License-Identifier: MIT
"""A person's signing key: Ed25519, sealed with AES-GCM under a key that scrypt makes of their password.

The server keeps the sealed form only. Whoever forgets the password makes a new key; signatures of the
old one stay valid under its own fingerprint.
"""

from __future__ import annotations

import secrets

from cryptography.exceptions import InvalidSignature, InvalidTag
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.kdf.scrypt import Scrypt
from django.db import transaction
from django.utils import timezone

from brackish.errors import AccessError
from brackish.web import models

SALT, NONCE = 16, 12
ABOUT = b"brackish-signing-key/1"  # bound to the sealed bytes, so that they cannot serve as anything else


def new_key(*, person: models.Person, password: str) -> models.SigningKey:
    """Make a person's key; one that they had is retired."""
    private = Ed25519PrivateKey.generate()
    public = private.public_key().public_bytes_raw().hex()
    salt, nonce = secrets.token_bytes(SALT), secrets.token_bytes(NONCE)
    sealed = salt + nonce + AESGCM(_stretched(password, salt)).encrypt(nonce, private.private_bytes_raw(), ABOUT + public.encode())
    now = timezone.now()
    with transaction.atomic():
        models.SigningKey.objects.filter(person=person, retired=None).update(retired=now)
        return models.SigningKey.objects.create(person=person, public=public, sealed=sealed, made=now)


def is_known(*, person: str, key: str) -> bool:
    """Whether a public key is, or was, the account's on this server: a ledger from elsewhere may name anybody."""
    return models.SigningKey.objects.filter(public=key, person__name=person).exists()


def current_key(person: models.Person) -> models.SigningKey | None:
    return models.SigningKey.objects.filter(person=person, retired=None).first()


def opened(key: models.SigningKey, *, password: str) -> Ed25519PrivateKey:
    """The private key, for one signature; a wrong password opens nothing."""
    sealed = bytes(key.sealed)
    salt, nonce, box = sealed[:SALT], sealed[SALT : SALT + NONCE], sealed[SALT + NONCE :]
    try:
        return Ed25519PrivateKey.from_private_bytes(AESGCM(_stretched(password, salt)).decrypt(nonce, box, ABOUT + key.public.encode()))
    except InvalidTag:
        raise AccessError("signing.password") from None


def is_signed(*, key: str, signature: str, text: bytes) -> bool:
    """Was this text signed with the private half of this key?"""
    try:
        Ed25519PublicKey.from_public_bytes(bytes.fromhex(key)).verify(bytes.fromhex(signature), text)
    except (InvalidSignature, ValueError):
        return False
    return True


def _stretched(password: str, salt: bytes) -> bytes:
    return Scrypt(salt=salt, length=32, n=2**15, r=8, p=1).derive(password.encode("utf-8"))
