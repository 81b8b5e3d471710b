using CsCheck;
using KilnShare.Core.Firings;
using NodaTime;

namespace KilnShare.Core.Tests.Firings;

public sealed class LogAssemblyTests
{
    private static readonly Instant Start = Instant.FromUtc(2026, 3, 1, 8, 0);
    private static readonly Instant Later = Start + Duration.FromHours(48);

    [Fact]
    public void Any_chunking_repetition_and_order_gives_the_same_log() =>
        Gen.Select(Gen.Int[1, 120], Gen.Int[1, 30], Gen.Int[0, int.MaxValue]).Sample((count, chunk, seed) =>
        {
            var truth = Minutes(0, count).ToArray();
            var random = new Random(seed);
            var sent = truth.Concat(truth.Where(_ => random.Next(3) == 0)).OrderBy(_ => random.Next()).ToArray();
            var log = new LogAssembly(Start);
            var stored = 0;
            foreach (var part in sent.Chunk(chunk))
            {
                var receipt = log.Accept(new LogBatch(LogUnit.Celsius, part, Run: 0), Later).Value;
                Assert.Empty(receipt.Refused);
                Assert.Equal(part.Length, receipt.Stored.Count + receipt.Repeated);
                stored += receipt.Stored.Count;
            }
            Assert.Equal(count, stored);
            Assert.Equal(truth.Select(r => (r.Sequence, r.At, r.Temperature)), log.Readings.Select(r => (r.Sequence, r.At, r.Celsius)));
            Assert.Empty(log.Gaps);
        }, iter: 200);

    [Fact]
    public void Missing_numbers_are_reported_and_not_invented_and_may_still_come_late()
    {
        var log = new LogAssembly(Start);
        Accept(log, [.. Minutes(0, 5), .. Minutes(8, 3)]);
        var gap = Assert.Single(log.Gaps);
        Assert.Equal((5L, 7L), (gap.FromSequence, gap.ToSequence));
        Assert.Equal((Start + Duration.FromMinutes(4), Start + Duration.FromMinutes(8)), (gap.FromAt, gap.ToAt));
        Accept(log, [.. Minutes(5, 3)]);
        Assert.Empty(log.Gaps);
        Assert.Equal(11, log.Readings.Count);
    }

    [Fact]
    public void A_logger_that_restarts_its_numbering_begins_a_new_run_and_resending_changes_nothing()
    {
        var log = new LogAssembly(Start);
        Accept(log, [.. Minutes(0, 20)]);
        var afterReset = Minutes(0, 15).Select(r => r with { At = r.At + Duration.FromMinutes(30), Temperature = r.Temperature + 30 }).ToArray();
        Assert.Equal(15, Accept(log, afterReset).Stored.Count);
        Assert.Equal(35, log.Readings.Count);
        Assert.Equal([0, 1], log.Readings.Select(r => r.Run).Distinct());
        Assert.Equal(15, Accept(log, afterReset).Repeated);
        Assert.Equal(20, Accept(log, [.. Minutes(0, 20)]).Repeated);
        // The restarted numbering runs past the old one.
        var beyond = Minutes(15, 10).Select(r => r with { At = r.At + Duration.FromMinutes(30), Temperature = r.Temperature + 30 }).ToArray();
        Accept(log, beyond);
        Assert.Equal(45, log.Readings.Count);
        Assert.Empty(log.Gaps);
    }

    [Fact]
    public void A_number_that_comes_again_with_another_value_is_refused_and_the_first_stays()
    {
        var log = new LogAssembly(Start);
        Accept(log, [.. Minutes(0, 10)]);
        var receipt = Accept(log, [new LoggerReading(4, Start + Duration.FromMinutes(4), 60)]);
        Assert.Equal("firings.reading-contradicts", Assert.Single(receipt.Refused).Code);
        Assert.Equal(24, log.Readings[4].Celsius);
    }

    [Fact]
    public void Time_running_backward_within_a_run_is_refused()
    {
        var log = new LogAssembly(Start);
        Accept(log, [.. Minutes(0, 10)]);
        var receipt = Accept(log, [new LoggerReading(10, Start + Duration.FromMinutes(5.5), 30)]);
        Assert.Equal("firings.reading-contradicts", Assert.Single(receipt.Refused).Code);
        Assert.Equal(10, log.Readings.Count);
    }

    [Fact]
    public void Alike_refused_readings_are_one_sentence_with_their_numbers()
    {
        var log = new LogAssembly(Start);
        IEnumerable<LoggerReading> None(int from, int to) =>
            Enumerable.Range(from, to - from + 1).Select(i => new LoggerReading(i, Start + Duration.FromMinutes(i), double.NaN));
        var receipt = Accept(log, [.. Minutes(0, 12), .. None(12, 340), .. None(350, 350), new LoggerReading(351, Start + Duration.FromMinutes(351), 5_000)]);
        Assert.Equal(331, receipt.Refused.Count);
        Assert.Equal(
            ["Readings 12–340, 350: the temperature is no number. Leave such readings out.",
                "Reading 351: outside what a kiln reads (-60 to 1600 °C). Check the thermocouple and the unit."],
            receipt.RefusedAlike.Select(r => r.Message));
        Assert.Equal((330, 2), (receipt.RefusedAlike[0].Count, receipt.RefusedAlike[0].Ranges.Count));
    }

    [Theory]
    [InlineData(double.NaN, "firings.reading-not-a-number")]
    [InlineData(double.PositiveInfinity, "firings.reading-not-a-number")]
    [InlineData(1e308, "firings.reading-out-of-range")]
    [InlineData(-200, "firings.reading-out-of-range")]
    [InlineData(2300, "firings.reading-out-of-range")]
    public void An_absurd_temperature_is_refused_and_the_rest_of_the_batch_is_taken(double temperature, string code)
    {
        var log = new LogAssembly(Start);
        var receipt = Accept(log, [.. Minutes(0, 3), new LoggerReading(3, Start + Duration.FromMinutes(3), temperature), .. Minutes(4, 2)]);
        Assert.Equal(code, Assert.Single(receipt.Refused).Code);
        Assert.Equal(5, receipt.Stored.Count);
    }

    [Fact]
    public void The_future_and_the_time_before_the_firing_are_refused()
    {
        var log = new LogAssembly(Start);
        var now = Start + Duration.FromHours(1);
        var receipt = log.Accept(new LogBatch(LogUnit.Celsius,
        [
            new(0, Start - Duration.FromMinutes(1), 20),
            new(1, now + Duration.FromSeconds(LogAssembly.ClockAheadSeconds), 20),
            new(2, now + Duration.FromSeconds(LogAssembly.ClockAheadSeconds + 1), 20),
            new(3, now + Duration.FromDays(3652), 20),
            new(4, Instant.MaxValue, 20),
            new(5, Instant.MinValue, 20),
        ]), now).Value;
        Assert.Equal(1, Assert.Single(receipt.Stored).Sequence);
        Assert.Equal(
            "firings.reading-too-old firings.reading-in-future firings.reading-in-future firings.reading-in-future firings.reading-too-old",
            string.Join(' ', receipt.Refused.Select(r => r.Code)));
    }

    [Fact]
    public void A_reading_in_the_other_unit_is_recognised_by_its_neighbour()
    {
        var log = new LogAssembly(Start);
        var hot = Minutes(0, 5).Select(r => r with { Temperature = 800 + r.Temperature }).ToArray();
        Accept(log, hot);
        var receipt = Accept(log, [new LoggerReading(5, Start + Duration.FromMinutes(5), 825 * 1.8 + 32)]);
        Assert.Equal("firings.reading-in-wrong-unit", Assert.Single(receipt.Refused).Code);
        // The same number said to be in °F is right.
        var said = log.Accept(new LogBatch(LogUnit.Fahrenheit, [new(5, Start + Duration.FromMinutes(5), 825 * 1.8 + 32)]), Later).Value;
        Assert.Equal(825, Assert.Single(said.Stored).Celsius);
    }

    [Fact]
    public void Too_much_at_once_is_refused_whole()
    {
        var log = new LogAssembly(Start);
        var many = Enumerable.Range(0, LogBatch.MostReadings + 1).Select(i => new LoggerReading(i, Start, 20)).ToArray();
        Assert.Equal("firings.batch-too-large", log.Accept(new LogBatch(LogUnit.Celsius, many), Later).Refusal!.Code);
        Assert.Empty(log.Readings);
    }

    [Fact]
    public void A_logger_that_restarts_without_end_does_not_fill_the_log_with_runs()
    {
        var log = new LogAssembly(Start);
        var receipt = Accept(log, [.. Enumerable.Range(0, 500).Select(i => new LoggerReading(0, Start + Duration.FromSeconds(i), 20))]);
        Assert.Equal(LogAssembly.MostRuns, receipt.Stored.Count);
        Assert.All(receipt.Refused, r => Assert.Equal("firings.reading-restarts-too-often", r.Code));
    }

    [Fact]
    public void A_stored_log_is_taken_up_again_where_it_stood()
    {
        var log = new LogAssembly(Start);
        Accept(log, [.. Minutes(0, 20)]);
        var again = LogAssembly.Of(Start, log.Readings);
        Assert.Equal(log.Readings, again.Readings);
        Assert.Equal(20, Accept(again, [.. Minutes(0, 20)]).Repeated);
    }

    [Fact]
    public void Encoding_loses_nothing() =>
        Gen.Select(Gen.Int[0, 200], Gen.Int[0, int.MaxValue]).Sample((count, seed) =>
        {
            var random = new Random(seed);
            var readings = Enumerable.Range(0, count).Select(i => new LogReading(
                random.Next(3), random.NextInt64(LogAssembly.GreatestSequence), Start + Duration.FromMilliseconds(random.NextInt64(1L << 40)),
                Math.Round(random.NextDouble() * 1660 - 60, 2))).ToArray();
            Assert.Equal(readings, LogEncoding.Decode(LogEncoding.Encode(readings)).Value);
        }, iter: 200);

    [Fact]
    public void A_regular_log_takes_about_four_bytes_a_reading()
    {
        var random = new Random(7);
        var celsius = 20.0;
        var readings = Enumerable.Range(0, 1440).Select(i =>
        {
            celsius += random.NextDouble() * 3;
            return new LogReading(0, i, Start + Duration.FromSeconds(60 * i), Math.Round(celsius, 2));
        }).ToArray();
        Assert.InRange(LogEncoding.Encode(readings).Length / 1440.0, 3.5, 5.5);
    }

    [Fact]
    public void Damaged_bytes_are_refused_or_read_but_never_break_the_reader()
    {
        var good = LogEncoding.Encode([.. Minutes(0, 50).Select(r => new LogReading(0, r.Sequence, r.At, r.Temperature))]);
        for (var length = 0; length < good.Length; length++)
            Assert.Equal("firings.log-corrupt", LogEncoding.Decode(good.AsSpan(0, length)).Refusal!.Code);
        Assert.Equal("firings.log-corrupt", LogEncoding.Decode([.. good, 0]).Refusal!.Code);
        Gen.Byte.Array[0, 60].Sample(bytes => LogEncoding.Decode(bytes).Refusal is null or { Code: "firings.log-corrupt" }, iter: 20_000);
        Gen.Byte.Array[0, 60].Sample(bytes => LogEncoding.Decode([1, 5, .. bytes]).Refusal is null or { Code: "firings.log-corrupt" }, iter: 20_000);
    }

    private static IEnumerable<LoggerReading> Minutes(int from, int count) =>
        Enumerable.Range(from, count).Select(i => new LoggerReading(i, Start + Duration.FromMinutes(i), 20 + i));

    private static LogReceipt Accept(LogAssembly log, LoggerReading[] readings) =>
        log.Accept(new LogBatch(LogUnit.Celsius, readings), Later).Value;
}
