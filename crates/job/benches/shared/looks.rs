//! What drawn pictures look like, for benches that need thousands of them.

use job::Fingerprint;

/// What a picture of smooth light over a dark foreground looks like: each number another one.
pub(crate) fn print(number: u32) -> Fingerprint {
    let mut bytes = vec![1, 0x0b, 0xb8, 0x07, 0xd0, 96, 64, 0];
    let turns = |place: u32, high: f32| (f32::from(u16::try_from(number * place % 977).unwrap()) / 155.0).sin() * high;
    for row in 0..64u8 {
        for column in 0..96u8 {
            let (x, y) = (f32::from(column) / 96.0, f32::from(row) / 64.0);
            let arc = 90.0 * (-((y - 0.4 - turns(7, 0.2) - turns(11, 0.3) * (x - 0.5)) / 0.1).powi(2)).exp();
            let rays = 1.0 + 0.3 * (x * (20.0 + turns(13, 15.0)) + turns(17, 3.0)).sin();
            let is_land = y > 0.75 + turns(19, 0.1) * (x * 9.0 + turns(23, 3.0)).sin();
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates")]
            bytes.push(if is_land { 10 } else { (20.0 + 30.0 * y + arc * rays) as u8 });
        }
    }
    Fingerprint::from_bytes(&bytes).unwrap()
}
