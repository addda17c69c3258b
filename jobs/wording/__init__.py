"""Words of the work in English, Spanish and French: what a worker's pages say, and what statements build on.

`words/` holds them, the languages of an entry side by side: labels by key, operations by their English, refusals by
their form. `forms` reads an English sentence back into its values, `locales` sets figures and days, `speech` puts these
together: `work_words(language)` is the front door. Spanish and French are from memory until a speaker has read them.
"""

from jobs.wording.speech import LANGUAGES, Said, WorkWords, language_of, work_words

__all__ = ["LANGUAGES", "Said", "WorkWords", "language_of", "work_words"]
