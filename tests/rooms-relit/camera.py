"""The camera: lens, sensor, tone curve, JPEG."""
import cv2
import numpy as np
from PIL import Image, ImageCms

from light import F, luminance
from texture import blur, pixels

CURVES = ['srgb', 'srgb+S', 'srgb+S', 'filmic', 'lifted', 'crushed', 'gamma', 'perchannel', 'lumS+sat']


class Lens:
    """Distortion, blur and vignette."""

    def __init__(self, rng, shape, px):
        rows, columns = shape
        self.k = 0.0 if rng.random() < 0.5 else rng.uniform(-0.025, 0.025)  # above 0: pincushion, below: barrel
        self.vignette = rng.uniform(0, 0.45)
        self.blur = max(0.4, rng.uniform(0.45, 1.3) * px)  # a small picture is no sharper than its pixels
        self.centre = np.array([columns / 2, rows / 2])
        self.half_diagonal = 0.5 * np.hypot(columns, rows)
        x, y = pixels(rows, columns)
        u, v = (x - columns / 2) / self.half_diagonal, (y - rows / 2) / self.half_diagonal
        r2 = u * u + v * v
        factor = self.magnify(r2)
        self.from_x = (u * factor * self.half_diagonal + columns / 2).astype(F)
        self.from_y = (v * factor * self.half_diagonal + rows / 2).astype(F)
        self.shade = (1 / (1 + self.vignette * r2) ** 2).astype(F)

    def magnify(self, r2):
        """How much further out the scene's point lies; r2: (distance from the centre / half the diagonal) squared."""
        return 1 + self.k * r2 - self.k * 0.3

    def __call__(self, image, shade=True):
        """Light in the scene (rows, columns[, 3]) as it arrives at the sensor; shade: with the vignette."""
        if self.k:
            image = cv2.remap(image, self.from_x, self.from_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
        image = blur(image, self.blur)
        if not shade:
            return image
        return image * (self.shade[..., None] if image.ndim == 3 else self.shade)

    def image_of(self, point):
        """Where a point (2,) of the scene, px, comes to lie in the picture."""
        point = np.asarray(point, float)
        q = point.copy()
        for _ in range(8):
            r2 = ((q - self.centre) ** 2).sum() / self.half_diagonal ** 2
            q = self.centre + (point - self.centre) / self.magnify(r2)
        return q


class Camera:
    """curve: one of CURVES, or None for any."""

    def __init__(self, rng, shape, curve):
        self.shape = shape
        self.bayer = rng.random() < 0.5
        self.full_well = rng.uniform(18000, 70000)  # electrons
        self.read_noise = rng.uniform(1.5, 5) * (1 if rng.random() < 0.75 else rng.uniform(2, 4))  # electrons
        self.gain = np.array([rng.uniform(1.5, 2.2), 1, rng.uniform(1.3, 2.0)], F)  # red and blue against green
        self.sharpen = rng.uniform(0.2, 0.7) if self.bayer else rng.choice([0, 0, 0.25])
        self.hot = [hot_pixel(rng, shape) for _ in range(rng.integers(5, 61))]
        any_curve = rng.choice(CURVES)  # drawn in any case, so that a given one changes nothing else
        self.curve = curve or any_curve
        self.contrast = rng.uniform(0.25, 1.0)
        self.saturation = rng.uniform(1.05, 1.3)
        self.lift = rng.uniform(0.015, 0.06)
        self.crush = rng.uniform(0.008, 0.035)
        self.gamma = rng.choice([1.8, 2.0, 2.2, 2.4, 2.6])
        self.contrasts = rng.uniform(0.1, 0.9, 3)
        self.quality = int(rng.integers(80, 96))
        self.subsampling = int(rng.choice([0, 2]))
        self.icc = rng.random() < 0.5

    def shoot(self, rng, light, path):
        """Linear light (rows, columns, 3) behind the lens -> JPEG file."""
        raw = light / self.gain
        raw = self.noisy(rng, mosaic(raw) if self.bayer else raw.copy())
        raw = demosaic(raw) if self.bayer else raw
        out = self.tone(np.minimum(raw * self.gain, 1.0)).astype(F)
        if self.sharpen:
            out = out + self.sharpen * (out - blur(out, 1.0))
        picture = Image.fromarray((np.clip(out, 0, 1) * 255 + 0.5).astype(np.uint8))
        more = {'icc_profile': profile()} if self.icc else {}
        picture.save(path, quality=self.quality, subsampling=self.subsampling, **more)

    def noisy(self, rng, raw):
        """The sensor's values, full well at 1, with hot pixels and noise."""
        for y, x, level, channel in self.hot:
            raw[(y, x) if self.bayer else (y, x, channel)] += level * rng.uniform(0.93, 1.07)
        noise = np.sqrt(np.maximum(raw, 0) / F(self.full_well) + F((self.read_noise / self.full_well) ** 2))
        raw += rng.standard_normal(raw.shape, dtype=F) * noise
        return np.minimum(raw, 1)

    def tone(self, x):
        """Linear light (rows, columns, 3) -> picture values 0..1, through the camera's curve."""
        x = np.clip(x, 0, None)
        if self.curve == 'filmic':  # a shoulder instead of a hard end
            white = 2.2
            x = x * (1 + x / white ** 2 * 1.0) / (1 + x * 0.55)
            return np.clip(encode(x / (1 * (1 + 1 / white ** 2) / 1.55)), 0, 1)
        if self.curve == 'gamma':
            return np.clip(x, 0, 1) ** (1 / self.gamma)
        y = encode(np.clip(x, 0, 1))
        if self.curve == 'srgb+S':
            y = steepen(y, self.contrast)
        elif self.curve == 'lifted':
            y = self.lift + (1 - self.lift) * y
        elif self.curve == 'crushed':
            y = (y - self.crush) / (1 - self.crush)
        elif self.curve == 'perchannel':
            y = np.dstack([steepen(y[..., c], self.contrasts[c]) for c in range(3)])
        elif self.curve == 'lumS+sat':
            grey = luminance(y)
            steep = steepen(grey, self.contrast)
            ratio = ((steep + 0.02) / (grey + 0.02))[..., None]
            y = steep[..., None] + (y - grey[..., None]) * ratio * self.saturation
        return np.clip(y, 0, 1)


def hot_pixel(rng, shape):
    """Row, column, level 0..1 and channel of a hot pixel."""
    return (int(rng.integers(2, shape[0] - 2)), int(rng.integers(2, shape[1] - 2)),
            float(np.clip(np.exp(rng.normal(-2.6, 1.2)), 0.004, 1.0)), int(rng.integers(3)))


def encode(x):
    """Linear light -> sRGB, both 0..1."""
    return np.where(x <= 0.0031308, x * 12.92, 1.055 * np.maximum(x, 1e-9) ** (1 / 2.4) - 0.055)


def steepen(y, strength):
    """An S curve about the middle, ends kept: a blend of the line and a smooth step of it."""
    y = np.clip(y, 0, 1)
    return y + strength * 0.75 * (y * y * (3 - 2 * y) - y)


def mosaic(rgb):
    """Each pixel's one colour: red and green, green and blue."""
    raw = np.empty(rgb.shape[:2], F)
    raw[0::2, 0::2], raw[0::2, 1::2] = rgb[0::2, 0::2, 0], rgb[0::2, 1::2, 1]
    raw[1::2, 0::2], raw[1::2, 1::2] = rgb[1::2, 0::2, 1], rgb[1::2, 1::2, 2]
    return raw


def demosaic(raw):
    # noise goes below 0, which 16 bits do not hold: a pedestal
    codes = np.clip(raw * 60000 + 2000, 0, 65535).astype(np.uint16)
    return (cv2.demosaicing(codes, cv2.COLOR_BayerBG2BGR)[:, :, ::-1].astype(F) - 2000) / 60000


def profile():
    """An sRGB profile, its date fixed so that the same room makes the same file."""
    made = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile('sRGB')).tobytes())
    made[24:36] = bytes([7, 230, 0, 1, 0, 1, 0, 0, 0, 0, 0, 0])
    return bytes(made)
