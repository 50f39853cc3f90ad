"""What light, lens, sensor and file do to a picture of reflected light."""

from __future__ import annotations

import cv2
import numpy as np
import numpy.typing as npt

from tests.renderer.printed.content import Rng
from tests.renderer.things.noise import Array, grain, mix, smooth

Bytes = npt.NDArray[np.uint8]

_LEVELS = 4096
_CEILING = 2.0


def _tone_table(contrast: float) -> Bytes:
    x = np.linspace(0, _CEILING, _LEVELS)
    # sRGB transfer (IEC 61966-2-1, from memory), a gentle shoulder and an S shape above it.
    shoulder = np.where(x > 0.8, 0.8 + 0.2 * np.tanh((x - 0.8) / 0.25), x)
    y = np.where(shoulder <= 0.0031308, 12.92 * shoulder, 1.055 * shoulder ** (1 / 2.4) - 0.055)
    y = y + contrast * (y - 0.5) * y * (1 - y) * 2
    return np.clip(y * 255 * 257, 0, 65535).astype(np.uint16)


def develop(picture: Array, contrast: float) -> Array:
    """Linear light (h, w, 3) to display values 0..255 as float32."""
    table = _tone_table(contrast)
    index = np.clip(picture * ((_LEVELS - 1) / _CEILING), 0, _LEVELS - 1).astype(np.uint16)
    return np.take(table, index).astype(np.float32) / 257.0


def uneven_light(rng: Rng, picture: Array, strength: float, shadow_edge: bool) -> None:
    """Fall-off across the frame, and sometimes the edge of a shadow, in place."""
    high, wide = picture.shape[:2]
    h, w = max(8, high // 8), max(8, wide // 8)
    field = 1 + strength * (0.6 * smooth(rng, h, w, 1.5))
    angle = mix(rng, 0, 2 * np.pi)
    y, x = np.mgrid[-1 : 1 : h * 1j, -1 : 1 : w * 1j].astype(np.float32)
    field = field * (1 + strength * (x * np.cos(angle) + y * np.sin(angle)))
    field *= 1 - 0.25 * strength * (x**2 + y**2)
    if shadow_edge:
        a = mix(rng, 0, 2 * np.pi)
        d = x * np.cos(a) + y * np.sin(a) + mix(rng, -0.5, 0.5) + 0.08 * smooth(rng, h, w, 4)
        soft = mix(rng, 0.02, 0.3)
        field *= 1 - mix(rng, 0.25, 0.6) / (1 + np.exp(np.clip(-d / soft, -30, 30)))
    field = np.clip(field, 0.15, 2.5).astype(np.float32)
    picture *= cv2.resize(field, (wide, high), interpolation=cv2.INTER_LINEAR)[..., None]


def flare(rng: Rng, picture: Array, at: tuple[float, float], radius: float, power: float) -> None:
    """A bright soft spot, in place."""
    high, wide = picture.shape[:2]
    h, w = max(8, high // 8), max(8, wide // 8)
    y, x = np.mgrid[0:h, 0:w].astype(np.float32) * 8
    a = mix(rng, 0, np.pi)
    dx, dy = x - at[0], y - at[1]
    u, v = dx * np.cos(a) + dy * np.sin(a), (-dx * np.sin(a) + dy * np.cos(a)) * mix(rng, 1, 2.5)
    spot = power * np.exp(-((u**2 + v**2) / (2 * radius**2)))
    spot *= 1 + 0.25 * smooth(rng, h, w, 9)
    picture += cv2.resize(spot.astype(np.float32), (wide, high))[..., None]


def lens(picture: Array, sigma: float, motion: float, angle: float, disc: bool) -> Array:
    """Defocus (Gaussian, or disc of the same spread) and motion blur; lengths in pixels."""
    out = picture
    if sigma > 0.25:
        if disc and sigma > 1.2:
            r = sigma * 2.0
            side = int(np.ceil(r)) * 2 + 1
            y, x = np.mgrid[-1 : 1 : side * 1j, -1 : 1 : side * 1j] * (side // 2)
            kernel = np.clip(r + 0.5 - np.hypot(x, y), 0, 1)
            out = cv2.filter2D(out, -1, (kernel / kernel.sum()).astype(np.float32))
        else:
            out = cv2.GaussianBlur(out, (0, 0), sigma)
    if motion > 1.2:
        side = int(np.ceil(motion)) // 2 * 2 + 3
        kernel = np.zeros((side, side), np.float32)
        c = side / 2 - 0.5
        dx, dy = np.cos(angle) * motion / 2, np.sin(angle) * motion / 2
        cv2.line(kernel, (round((c - dx) * 16), round((c - dy) * 16)),
                 (round((c + dx) * 16), round((c + dy) * 16)), 1.0, 1, cv2.LINE_AA, 4)  # fmt: skip
        out = cv2.filter2D(out, -1, kernel / kernel.sum())
    return out


def sensor(rng: Rng, shown: Array, noise: float, sharpen: float, smear: bool) -> Bytes:
    """Noise (display units at mid grey), sharpening halo and denoising; returns uint8."""
    high, wide = shown.shape[:2]
    if noise > 0.05:
        level = 0.45 + 0.55 * np.sqrt(np.clip(shown[..., 1], 0, 255) / 128.0)
        luma = grain(rng, high, wide)
        if smear:
            luma = cv2.GaussianBlur(luma, (0, 0), 0.8) * 1.9
        colour = rng.standard_normal((high // 3 + 1, wide // 3 + 1, 3), np.float32)
        shown += (luma * level * np.float32(noise))[..., None]
        shown += cv2.resize(colour, (wide, high), interpolation=cv2.INTER_LINEAR) * np.float32(
            noise * 0.5)  # fmt: skip
    if smear and noise > 2.5:
        shown = cv2.bilateralFilter(shown, 5, noise * 3.5, 2.0)
    if sharpen > 0.02:
        soft = cv2.GaussianBlur(shown, (0, 0), 1.1)
        shown = shown + sharpen * (shown - soft)
    return np.clip(shown + 0.5, 0, 255).astype(np.uint8)


def squeeze_jpeg(image: Bytes, quality: int) -> Bytes:
    """One JPEG round trip."""
    done, data = cv2.imencode(".jpg", image, [cv2.IMWRITE_JPEG_QUALITY, quality])
    if not done:
        raise ValueError("the picture could not be encoded as JPEG")
    return cv2.imdecode(data, cv2.IMREAD_COLOR)
