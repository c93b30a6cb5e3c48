"""How dates are written where Django's own way for a language is not ours."""
