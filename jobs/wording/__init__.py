"""Words of the work in English, Spanish and French: what a worker's own page says, and what statements build on.

`words/` holds them, the languages of an entry side by side; `locales` sets figures and days, `speech` puts both
together: `work_words(language)` is the front door. Spanish and French are from memory until a speaker has read them.
"""

from jobs.wording.speech import LANGUAGES, WorkWords, language_of, work_words

__all__ = ["LANGUAGES", "WorkWords", "language_of", "work_words"]
