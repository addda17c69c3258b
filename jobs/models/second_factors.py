"""A user's second factor: codes of an app by the clock (TOTP, RFC 6238), kept by django-otp.

It belongs to a user, who may be of several organisations, and so, like the user, to none of them.
"""

from __future__ import annotations

from typing import cast

from django.utils.crypto import salted_hmac
from django_otp.plugins.otp_totp.models import TOTPDevice


class SecondFactor(TOTPDevice):
    """An app that gives codes. `key` holds a random salt; the secret itself is at rest nowhere.

    The secret is made of the salt with the site's own key whenever it is needed, so that a copy of the database alone
    gives no codes. Another PIECEWALL_SECRET_KEY therefore ends every second factor (`manage.py second_factor_end`).
    """

    class Meta:
        proxy = True

    @property
    def bin_key(self) -> bytes:
        """160 bits, as RFC 4226 recommends (section 4, R6)."""
        made = salted_hmac("jobs.second_factor", f"{self.user_id} {self.key}", algorithm="sha256")
        return cast(bytes, made.digest()[:20])
