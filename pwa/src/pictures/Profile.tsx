/** Emitters seen from above: plates are thick lines, convectors waves. Drawn by us, to tell types apart at a glance. */

const wave = (y: number): string =>
  `M10 ${y} ${Array.from({ length: 9 }, (_item, at) => `l5 ${at % 2 ? -8 : 8} l5 ${at % 2 ? 8 : -8}`).join(' ')}`;

const PLATES: Record<string, { plates: number[]; waves: number[] }> = {
  panel_10: { plates: [26], waves: [] },
  panel_11: { plates: [18], waves: [26] },
  panel_21: { plates: [12, 40], waves: [22] },
  panel_22: { plates: [8, 44], waves: [14, 30] },
  panel_33: { plates: [6, 27, 48], waves: [10, 31, 39] },
};

export function Profile({ type }: { type: string }) {
  const panel = PLATES[type];
  return (
    <svg viewBox="0 0 112 54" width="112" height="54" aria-hidden="true">
      {panel?.waves.map((y) => (
        <path key={`w${y}`} d={wave(y)} class="profile-thin" />
      ))}
      {panel?.plates.map((y) => (
        <path key={`p${y}`} d={`M6 ${y} H106`} class="profile-line" />
      ))}
      {type === 'column' &&
        [16, 36, 56, 76, 96].map((x) => (
          <g key={x}>
            <circle cx={x} cy="17" r="7" class="profile-line" />
            <circle cx={x} cy="37" r="7" class="profile-line" />
          </g>
        ))}
      {type === 'towel_rail' && (
        <>
          <path d="M12 6 V48 M100 6 V48" class="profile-line" />
          {[12, 21, 30, 39].map((y) => (
            <path key={y} d={`M12 ${y} H100`} class="profile-thin" />
          ))}
        </>
      )}
      {type === 'convector' && (
        <>
          <rect x="6" y="12" width="100" height="30" class="profile-thin" />
          {[18, 30, 42, 54, 66, 78, 90].map((x) => (
            <path key={x} d={`M${x} 18 V36`} class="profile-line" />
          ))}
        </>
      )}
      {type === 'fan_convector' && (
        <>
          <rect x="6" y="8" width="100" height="38" class="profile-thin" />
          <circle cx="40" cy="27" r="12" class="profile-line" />
          <path d="M40 15 Q48 21 40 27 Q32 33 40 39 M28 27 Q34 19 40 27 Q46 35 52 27" class="profile-thin" />
          <path d="M68 16 V38 M80 16 V38 M92 16 V38" class="profile-line" />
        </>
      )}
      {type === 'underfloor' && (
        <path d="M6 8 H98 a7 7 0 0 1 0 13 H20 a6.5 6.5 0 0 0 0 13 H98 a6.5 6.5 0 0 1 0 13 H6" class="profile-line" />
      )}
      {type === 'other' && (
        <>
          <rect x="16" y="10" width="80" height="34" class="profile-thin" />
          <path d="M50 20 a7 7 0 1 1 9 7 v4 M59 36 v1.5" class="profile-line" />
        </>
      )}
    </svg>
  );
}
