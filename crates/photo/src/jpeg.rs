//! The markers of a JPEG: what it claims to be, and the parts that are the picture and nothing else.
//!
//! ITU-T T.81 (1992) Annex B: the order and form of marker segments. Own code because the copy must hold no byte that
//! is not picture: the libraries at hand keep whatever stands between scans and after the end of the image, where
//! phones put a second picture or a film, with its own position.

use std::ops::Range;

use crate::{
    PhotoError,
    limits::{MAX_HELD_BYTES, MAX_SCANS},
};

const SOI: u8 = 0xd8;
const EOI: u8 = 0xd9;
const SOS: u8 = 0xda;
const DQT: u8 = 0xdb;
const DNL: u8 = 0xdc;
const DRI: u8 = 0xdd;
const DHT: u8 = 0xc4;
const APP0: u8 = 0xe0;
const APP1: u8 = 0xe1;
const APP14: u8 = 0xee;

/// JFIF 1.02 header: no density, no thumbnail.
const PLAIN_JFIF: [u8; 14] = *b"JFIF\0\x01\x02\x00\x00\x01\x00\x01\x00\x00";

/// How the samples are coded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Coding {
    /// Baseline: SOF0.
    Baseline,
    /// Extended sequential: SOF1.
    Extended,
    /// Progressive: SOF2.
    Progressive,
}

/// A JPEG whose markers were walked from the start to the end of its first image.
#[derive(Debug)]
pub(crate) struct Jpeg<'a> {
    bytes: &'a [u8],
    /// Width in pixels as stored, before any orientation.
    pub width: u16,
    /// Height in pixels as stored.
    pub height: u16,
    /// How it is coded.
    pub coding: Coding,
    /// Component identifiers, one or three.
    components: Vec<u8>,
    adobe_transform: Option<u8>,
    jfif: Option<Range<usize>>,
    /// Every marker with its contents (and coded data) that makes up the picture, from its code byte on.
    picture: Vec<Range<usize>>,
    /// Where the image ends; whatever follows is not part of it.
    end: usize,
    /// An XMP packet names a position.
    pub xmp_position: bool,
}

impl<'a> Jpeg<'a> {
    /// Walks the markers; refuses what is cut off, of a rare coding, in four colours, or a bomb.
    pub fn parse(bytes: &'a [u8]) -> Result<Self, PhotoError> {
        Walk::new(bytes).run()
    }

    /// The bytes from the start to the end of the image, without what follows it.
    pub fn image(&self) -> &'a [u8] {
        &self.bytes[..self.end]
    }

    /// Whether the picture's own markers with a JFIF header say all that a viewer needs: 8 bit grey or YCbCr, baseline
    /// or progressive.
    pub fn stands_alone(&self) -> bool {
        let ycbcr =
            matches!(self.adobe_transform, None | Some(1)) && (self.jfif.is_some() || self.components == [1, 2, 3]);
        self.coding != Coding::Extended && (self.components.len() == 1 || ycbcr)
    }

    /// The picture alone: same coded samples, a plain JFIF header, nothing else.
    pub fn strip(&self) -> Vec<u8> {
        let jfif = self.jfif.clone().map_or(&PLAIN_JFIF[..], |range| &self.bytes[range]);
        let mut out = Vec::with_capacity(self.end);
        out.extend_from_slice(&[0xff, SOI, 0xff, APP0, 0x00, 0x10]);
        out.extend_from_slice(jfif);
        for part in &self.picture {
            out.push(0xff);
            out.extend_from_slice(&self.bytes[part.clone()]);
        }
        out.extend_from_slice(&[0xff, EOI]);
        out
    }
}

struct Walk<'a> {
    bytes: &'a [u8],
    at: usize,
    frame: Option<Frame>,
    adobe_transform: Option<u8>,
    jfif: Option<Range<usize>>,
    picture: Vec<Range<usize>>,
    scans: usize,
    coded_bytes: usize,
    xmp_position: bool,
}

struct Frame {
    coding: Coding,
    width: u16,
    height: u16,
    components: Vec<u8>,
    blocks: u64,
}

impl<'a> Walk<'a> {
    fn new(bytes: &'a [u8]) -> Self {
        Self {
            bytes,
            at: 2,
            frame: None,
            adobe_transform: None,
            jfif: None,
            picture: Vec::new(),
            scans: 0,
            coded_bytes: 0,
            xmp_position: false,
        }
    }

    fn run(mut self) -> Result<Jpeg<'a>, PhotoError> {
        loop {
            let code_at = self.read_marker()?;
            match self.bytes[code_at] {
                EOI => break,
                0x00 | 0x01 | 0xd0..=SOI => return Err(damaged(code_at, "a marker stands where none may")),
                code => self.read_segment(code, code_at)?,
            }
        }
        let frame = self.frame.ok_or_else(|| damaged(self.at, "the end of the image came before its frame"))?;
        if self.scans == 0 {
            return Err(damaged(self.at, "the end of the image came before its picture"));
        }
        // Every block takes at least one bit of coded data; less is a claim that nothing stands behind.
        let (got, expected) = (self.coded_bytes as u64, frame.blocks.div_ceil(8));
        if got < expected {
            return Err(PhotoError::PictureMissing { got, expected });
        }
        Ok(Jpeg {
            bytes: self.bytes,
            width: frame.width,
            height: frame.height,
            coding: frame.coding,
            components: frame.components,
            adobe_transform: self.adobe_transform,
            jfif: self.jfif,
            picture: self.picture,
            end: self.at,
            xmp_position: self.xmp_position,
        })
    }

    /// Steps over one marker and gives the place of its code byte.
    fn read_marker(&mut self) -> Result<usize, PhotoError> {
        if self.byte(self.at)? != 0xff {
            return Err(damaged(self.at, "expected a marker"));
        }
        while self.byte(self.at)? == 0xff {
            self.at += 1;
        }
        self.at += 1;
        Ok(self.at - 1)
    }

    fn read_segment(&mut self, code: u8, code_at: usize) -> Result<(), PhotoError> {
        let length = usize::from(self.byte(self.at)?) << 8 | usize::from(self.byte(self.at + 1)?);
        if length < 2 {
            return Err(damaged(self.at, "a segment is shorter than its own length field"));
        }
        let contents = self.at + 2..self.at + length;
        let Some(data) = self.bytes.get(contents.clone()) else {
            return Err(self.truncated());
        };
        self.at = contents.end;
        match code {
            0xc0..=0xc2 => self.read_frame(code, data, code_at)?,
            0xc3 | 0xc5..=0xcf if code != 0xc8 && code != 0xcc => {
                return Err(PhotoError::UnsupportedJpeg { got: format!("SOF{}", code - 0xc0) });
            }
            0xcc => return Err(PhotoError::UnsupportedJpeg { got: "arithmetic coding".into() }),
            DNL => return Err(PhotoError::UnsupportedJpeg { got: "a number of lines given late".into() }),
            SOS => {
                if self.frame.is_none() {
                    return Err(damaged(code_at, "a scan came before its frame"));
                }
                self.scans += 1;
                self.skip_coded_data()?;
            }
            APP0 if data.len() == PLAIN_JFIF.len() && data.starts_with(b"JFIF\0") && data[12..] == [0, 0] => {
                self.jfif = Some(contents);
            }
            APP1 if data.starts_with(b"http://ns.adobe.com/") => {
                self.xmp_position |= data.windows(11).any(|window| window == b"GPSLatitude");
            }
            APP14 if data.starts_with(b"Adobe") => self.adobe_transform = data.get(11).copied(),
            _ => {}
        }
        if matches!(code, 0xc0..=0xc2 | DQT | DHT | DRI | SOS) {
            self.picture.push(code_at..self.at);
        }
        Ok(())
    }

    fn read_frame(&mut self, code: u8, data: &[u8], at: usize) -> Result<(), PhotoError> {
        if self.frame.is_some() {
            return Err(damaged(at, "a second frame in one image"));
        }
        let (Some(&[precision, h1, h0, w1, w0, count]), Some(rest)) = (data.first_chunk::<6>(), data.get(6..)) else {
            return Err(damaged(at, "the frame header is too short"));
        };
        let (width, height) = (u16::from_be_bytes([w1, w0]), u16::from_be_bytes([h1, h0]));
        crate::copy::check_pixels(u32::from(width), u32::from(height))?;
        if precision != 8 {
            return Err(PhotoError::UnsupportedJpeg { got: format!("{precision} bits a sample") });
        }
        match count {
            1 | 3 => {}
            4 => return Err(PhotoError::FourColours),
            _ => return Err(PhotoError::UnsupportedJpeg { got: format!("{count} components") }),
        }
        if rest.len() != 3 * usize::from(count) {
            return Err(damaged(at, "the frame header's length does not fit its number of components"));
        }
        let coding = match code {
            0xc0 => Coding::Baseline,
            0xc1 => Coding::Extended,
            _ => Coding::Progressive,
        };
        let blocks = count_blocks(width, height, rest);
        // A progressive image holds 64 coefficients of two bytes for every block until its last scan.
        if coding == Coding::Progressive && blocks * 128 > MAX_HELD_BYTES {
            return Err(PhotoError::TooMuchMemory { got: blocks * 128 });
        }
        let components = rest.chunks_exact(3).map(|component| component[0]).collect();
        self.frame = Some(Frame { coding, width, height, components, blocks });
        Ok(())
    }

    fn skip_coded_data(&mut self) -> Result<(), PhotoError> {
        if self.scans > MAX_SCANS {
            return Err(PhotoError::TooManyScans { got: self.scans });
        }
        let start = self.at;
        loop {
            let Some(step) = self.bytes[self.at..].iter().position(|&byte| byte == 0xff) else {
                return Err(self.truncated());
            };
            self.at += step;
            match self.byte(self.at + 1)? {
                0x00 | 0xd0..=0xd7 => self.at += 2,
                0xff => self.at += 1,
                _ => break,
            }
        }
        self.coded_bytes += self.at - start;
        Ok(())
    }

    fn byte(&self, at: usize) -> Result<u8, PhotoError> {
        self.bytes.get(at).copied().ok_or_else(|| self.truncated())
    }

    fn truncated(&self) -> PhotoError {
        PhotoError::Truncated { got: self.bytes.len() }
    }
}

/// Blocks of 8 × 8 samples of all components, T.81 A.2.4: whole units of the largest sampling factors.
fn count_blocks(width: u16, height: u16, components: &[u8]) -> u64 {
    let factors: Vec<(u64, u64)> =
        components.chunks_exact(3).map(|c| (u64::from(c[1] >> 4).max(1), u64::from(c[1] & 15).max(1))).collect();
    let (h_max, v_max) = factors.iter().fold((1, 1), |(h, v), f| (h.max(f.0), v.max(f.1)));
    let units = u64::from(width).div_ceil(8 * h_max) * u64::from(height).div_ceil(8 * v_max);
    factors.iter().map(|(h, v)| units * h * v).sum()
}

fn damaged(at: usize, what: &str) -> PhotoError {
    PhotoError::Damaged { at, what: what.into() }
}
