"""Why sign-in failed, and the words to say."""

from onboard.model import Standing
from onboard.signin.account import Account, At, Cause, PasswordState
from onboard.signin.causes import KINDS
from onboard.signin.judge import why
from onboard.signin.script import Form
from onboard.signin.script import script as script

__all__ = ["KINDS", "Account", "At", "Cause", "Form", "PasswordState", "Standing", "script", "why"]
