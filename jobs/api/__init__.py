"""The API of the field: parse, call one service, answer. Tokens per device, problem documents for every error."""
