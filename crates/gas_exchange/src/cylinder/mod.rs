//! What happens in one cylinder: volume, two-zone combustion, heat transfer, crevices and blow-by, knock, friction.
