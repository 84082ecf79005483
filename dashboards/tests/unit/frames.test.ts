import { describe, expect, it } from "vitest";
import { waitBeforeAttempt } from "../../src/feed/backoff";
import { decodeFrame, Quality } from "../../src/feed/frames";
import { encodeFrame } from "../encodeFrame";

describe("frames", () => {
  it("Bytes_written_by_hand_are_read_as_the_contract_says", () => {
    // 25.5, NaN, -1 as float32 little-endian; qualities good, bad, uncertain: 00, 10, 01 from the low bits up.
    const data = Uint8Array.of(0, 0, 0xcc, 0x41, 0, 0, 0xc0, 0x7f, 0, 0, 0x80, 0xbf, 0b01_10_00);
    const scan = decodeFrame({ cell: 1, seq: 7, t: 1000, data }, 3);
    expect([...(scan?.values ?? [])]).toEqual([25.5, Number.NaN, -1]);
    expect([...(scan?.qualities ?? [])]).toEqual([Quality.good, Quality.bad, Quality.uncertain]);
  });

  it("Bytes_that_start_anywhere_in_a_message_are_read", () => {
    const frame = encodeFrame(1, 1, 5, [1, 2, 3, 4, 5], [0, 1, 2, 3, 0]);
    const message = new Uint8Array(frame.data.length + 3);
    message.set(frame.data, 3);
    const scan = decodeFrame({ ...frame, data: message.subarray(3) }, 5);
    expect([...(scan?.values ?? [])]).toEqual([1, 2, 3, 4, 5]);
    expect([...(scan?.qualities ?? [])]).toEqual([0, 1, 2, 3, 0]);
  });

  it("A_frame_of_another_layout_is_refused", () => {
    expect(decodeFrame(encodeFrame(1, 1, 5, [1, 2], [0, 0]), 3)).toBeNull();
  });

  it("A_good_reading_without_a_number_is_bad", () => {
    expect(decodeFrame(encodeFrame(1, 1, 5, [Number.NaN], [0]), 1)?.qualities[0]).toBe(Quality.bad);
  });

  it("A_frame_of_sixteen_channels_takes_68_bytes", () => {
    expect(encodeFrame(1, 1, 5, new Array(16).fill(1), new Array(16).fill(0)).data.length).toBe(68);
  });

  it("Attempts_go_on_for_ever_with_a_bounded_wait", () => {
    expect(waitBeforeAttempt(0, 1)).toBe(0);
    for (let attempt = 1; attempt < 1000; attempt++) expect(waitBeforeAttempt(attempt, 0.5)).toBeLessThanOrEqual(8000);
    expect(waitBeforeAttempt(1000, 0)).toBe(6400);
  });
});
