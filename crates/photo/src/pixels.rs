//! Pixels in, pixels out: decoding small, scaling, encoding.

use std::io::Cursor;

use fast_image_resize as fir;
use image::{DynamicImage, GrayImage, ImageDecoder, ImageFormat, ImageReader, Limits, Rgb, RgbImage};
use jpeg_decoder::PixelFormat;
use jpeg_encoder::{ColorType, Encoder, SamplingFactor};

use crate::{
    PhotoError,
    copy::check_pixels,
    jpeg::Jpeg,
    limits::{COPY_QUALITY, MAX_HELD_BYTES, MAX_SIDE_PX},
};

/// The size of a copy of a picture of that size: the same shape, no side above [`MAX_SIDE_PX`], never enlarged.
pub(crate) fn fit(width: u32, height: u32) -> (u32, u32) {
    let long = width.max(height);
    if long <= MAX_SIDE_PX {
        return (width, height);
    }
    let scaled = |side: u32| {
        let (side, long) = (u64::from(side), u64::from(long));
        (((side * u64::from(MAX_SIDE_PX) + long / 2) / long) as u32).max(1)
    };
    (scaled(width), scaled(height))
}

/// Decodes a JPEG, letting the inverse transform do the coarse scaling (1/2, 1/4 or 1/8) where the copy is smaller.
pub(crate) fn decode_jpeg(jpeg: &Jpeg) -> Result<DynamicImage, PhotoError> {
    let mut decoder = jpeg_decoder::Decoder::new(Cursor::new(jpeg.image()));
    let (copy_width, copy_height) = fit(jpeg.width.into(), jpeg.height.into());
    let (width, height) = decoder.scale(copy_width as u16, copy_height as u16).map_err(PhotoError::Jpeg)?;
    take_pixels(decoder, (width, height))
}

/// Decodes a JPEG in its own resolution.
pub(crate) fn decode_jpeg_whole(jpeg: &Jpeg) -> Result<DynamicImage, PhotoError> {
    take_pixels(jpeg_decoder::Decoder::new(Cursor::new(jpeg.image())), (jpeg.width, jpeg.height))
}

fn take_pixels(
    mut decoder: jpeg_decoder::Decoder<Cursor<&[u8]>>,
    (width, height): (u16, u16),
) -> Result<DynamicImage, PhotoError> {
    let pixels = decoder.decode().map_err(PhotoError::Jpeg)?;
    let (width, height) = (u32::from(width), u32::from(height));
    let got = pixels.len();
    match decoder.info().map(|info| info.pixel_format) {
        Some(PixelFormat::L8) => GrayImage::from_raw(width, height, pixels).map(DynamicImage::ImageLuma8),
        Some(PixelFormat::RGB24) => RgbImage::from_raw(width, height, pixels).map(DynamicImage::ImageRgb8),
        _ => None,
    }
    .ok_or_else(|| PhotoError::UnsupportedJpeg { got: format!("{width} × {height} pixels in {got} bytes") })
}

/// Decodes a PNG or WebP to 8 bit grey or RGB; what is transparent becomes white, as on the report's paper.
pub(crate) fn decode_picture(original: &[u8], format: ImageFormat) -> Result<DynamicImage, PhotoError> {
    let mut reader = ImageReader::with_format(Cursor::new(original), format);
    let mut limits = Limits::default();
    limits.max_alloc = Some(2 * MAX_HELD_BYTES);
    reader.limits(limits);
    let decoder = reader.into_decoder().map_err(PhotoError::Picture)?;
    let (width, height) = decoder.dimensions();
    check_pixels(width, height)?;
    if decoder.total_bytes() > MAX_HELD_BYTES {
        return Err(PhotoError::TooMuchMemory { got: decoder.total_bytes() });
    }
    let picture = DynamicImage::from_decoder(decoder).map_err(PhotoError::Picture)?;
    Ok(match picture {
        DynamicImage::ImageLuma8(_) | DynamicImage::ImageRgb8(_) => picture,
        DynamicImage::ImageLuma16(_) => DynamicImage::ImageLuma8(picture.into_luma8()),
        picture if picture.color().has_alpha() => {
            let picture = picture.into_rgba8();
            DynamicImage::ImageRgb8(RgbImage::from_fn(width, height, |x, y| {
                let [red, green, blue, alpha] = picture.get_pixel(x, y).0;
                let over_white = |value: u8| {
                    let (value, alpha) = (u32::from(value), u32::from(alpha));
                    ((value * alpha + 255 * (255 - alpha) + 127) / 255) as u8
                };
                Rgb([over_white(red), over_white(green), over_white(blue)])
            }))
        }
        picture => DynamicImage::ImageRgb8(picture.into_rgb8()),
    })
}

/// Decodes a HEIC to 8 bit sRGB, turned as it says.
#[cfg(feature = "heic")]
pub(crate) fn decode_heic(original: &[u8]) -> Result<DynamicImage, PhotoError> {
    // It is held as four bytes a pixel. Photographs side by side have the cores already.
    let options = heifer::Options { max_threads: 1, max_pixels: MAX_HELD_BYTES / 4 };
    let picture = heifer::decode_srgb_rgba8(original, &options).map_err(PhotoError::Heic)?;
    let (width, height) = (picture.width, picture.height);
    check_pixels(width, height)?;
    RgbImage::from_raw(width, height, picture.into_rgb8())
        .map(DynamicImage::ImageRgb8)
        .ok_or(PhotoError::TooManyPixels { width, height })
}

#[cfg(not(feature = "heic"))]
pub(crate) const fn decode_heic(_: &[u8]) -> Result<DynamicImage, PhotoError> {
    Err(PhotoError::Heif)
}

/// Scales to exactly that size.
pub(crate) fn scale(picture: DynamicImage, width: u32, height: u32) -> Result<DynamicImage, PhotoError> {
    if (picture.width(), picture.height()) == (width, height) {
        return Ok(picture);
    }
    let from = (picture.width(), picture.height());
    let scaled = match picture {
        DynamicImage::ImageLuma8(grey) => {
            let pixels = scale_pixels::<fir::pixels::U8>(grey.as_raw(), from, (width, height))?;
            GrayImage::from_raw(width, height, pixels).map(DynamicImage::ImageLuma8)
        }
        colour => {
            let pixels = scale_pixels::<fir::pixels::U8x3>(colour.into_rgb8().as_raw(), from, (width, height))?;
            RgbImage::from_raw(width, height, pixels).map(DynamicImage::ImageRgb8)
        }
    };
    scaled.ok_or(PhotoError::TooManyPixels { width, height })
}

/// For one kind of pixel: the scaler's untyped door would compile for fifteen.
fn scale_pixels<P: fir::PixelTrait>(pixels: &[u8], from: (u32, u32), to: (u32, u32)) -> Result<Vec<u8>, PhotoError> {
    let source = fir::images::TypedImageRef::<P>::from_buffer(from.0, from.1, pixels).map_err(PhotoError::Buffer)?;
    let mut scaled = vec![0; to.0 as usize * to.1 as usize * size_of::<P>()];
    let mut target = fir::images::TypedImage::<P>::from_buffer(to.0, to.1, &mut scaled).map_err(PhotoError::Buffer)?;
    let options =
        fir::ResizeOptions::new().resize_alg(fir::ResizeAlg::Convolution(fir::FilterType::Lanczos3)).use_alpha(false);
    fir::Resizer::new().resize_typed(&source, &mut target, &options).map_err(PhotoError::Scale)?;
    Ok(scaled)
}

/// Encodes a baseline JPEG of quality [`COPY_QUALITY`], colour sampled 4:2:0, with a JFIF header and nothing else.
pub(crate) fn encode(picture: &DynamicImage) -> Result<Vec<u8>, PhotoError> {
    let colour = if matches!(picture, DynamicImage::ImageLuma8(_)) { ColorType::Luma } else { ColorType::Rgb };
    let mut bytes = Vec::with_capacity(512 << 10);
    let mut encoder = Encoder::new(&mut bytes, COPY_QUALITY);
    encoder.set_sampling_factor(SamplingFactor::F_2_2);
    let (width, height) = (picture.width() as u16, picture.height() as u16);
    encoder.encode(picture.as_bytes(), width, height, colour).map_err(PhotoError::Encode)?;
    Ok(bytes)
}
