"""Mail: plain text from templates in `jobs/mail/`, of which the first line is the subject. Links lead to SITE_URL."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage
from django.template.loader import render_to_string

from jobs.wording import work_words


def mail_send(*, to: str, template: str, language: str, context: Mapping[str, Any]) -> None:
    """Send one mail in a language. Raises what the mail server's refusal raises (OSError, smtplib.SMTPException)."""
    text = render_to_string(
        f"jobs/mail/{template}.txt", {**context, "site": settings.SITE_URL, "words": work_words(language)}
    )
    subject, _, body = text.partition("\n")
    EmailMessage(subject=subject.strip(), body=body.strip() + "\n", to=[to]).send()
