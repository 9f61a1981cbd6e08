from django.contrib.auth.hashers import Argon2PasswordHasher


class SmallArgon2(Argon2PasswordHasher):
    """Argon2id with 19 MiB and two passes (the least that OWASP's password page names): sign-ins stay cheap."""

    memory_cost = 19456
    time_cost = 2
    parallelism = 1
