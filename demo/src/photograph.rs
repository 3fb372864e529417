//! Photographs of the invented car, drawn by a program: every pixel follows from the [`Shot`] alone.
//!
//! They are not real and say so: in a corner of the picture and in the file's description. They stand in for what an
//! inspector's phone would write, so that the whole way from photograph to report can be walked without a car.

mod brake;
mod disc;
mod file;
mod lettering;
mod light;
mod noise;
mod odometer;
mod pad;
mod parts;
mod plate;
mod scene;
mod shape;
mod shot;
mod surface;
mod texture;
mod turn;
mod vector;
mod view;

mod develop;

pub use file::CameraFileError;
pub use shot::{Held, Shot, ShotKind, Signs};

/// Draws what the shot shows, upright, in 8 bit sRGB. The same shot gives the same pixels.
pub fn draw(shot: &Shot) -> image::RgbImage {
    scene::draw(shot)
}

/// Where an inspector would mark the ring in this shot, as a file beside the photograph has it; none of a shot in which no
/// ring is measured.
pub fn mark_json(shot: &Shot) -> Option<String> {
    matches!(shot.kind, ShotKind::Straight { .. }).then(|| scene::straight(shot).mark_json())
}

/// Draws the shot and gives the bytes of the camera's file: a JPEG with EXIF (time, offset, orientation, position where
/// the shot has one, and the words "demonstration data").
///
/// # Errors
/// [`CameraFileError`] where a side is 0 or above 65 535 pixels.
pub fn encode(shot: &Shot) -> Result<Vec<u8>, CameraFileError> {
    encode_picture(shot, &draw(shot))
}

/// The camera's file as [`encode`] gives it, of this upright picture instead of the drawn one.
///
/// # Errors
/// As [`encode`].
pub fn encode_picture(shot: &Shot, picture: &image::RgbImage) -> Result<Vec<u8>, CameraFileError> {
    file::write(shot, picture)
}
