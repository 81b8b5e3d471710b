using System.Text.Json.Serialization;
using FluentValidation;
using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Energy;
using KilnShare.Core.Firings;
using KilnShare.Core.Studios;
using KilnShare.Storage;
using KilnShare.Storage.Energy;
using Microsoft.EntityFrameworkCore;
using NodaTime;

namespace KilnShare.Api.Energy;

/// <summary>A meter read for a firing.</summary>
public record MeterReadingBody
{
    /// <summary>When it was read.</summary>
    public required Instant ReadAt { get; init; }

    /// <summary>What the register showed, kWh, three decimals at most.</summary>
    /// <example>4821.4</example>
    public required decimal RegisterKwh { get; init; }

    /// <summary>What happened to the meter since the reading before. At an exchange, this reading is the old meter's last.</summary>
    /// <example>none</example>
    public MeterEvent Event { get; init; }

    /// <summary>At a rollover, the first figure the register cannot show, such as 100000.</summary>
    public decimal? RollsOverAtKwh { get; init; }

    /// <summary>At an exchange, what the new meter showed at its start.</summary>
    public decimal? NewRegisterKwh { get; init; }

    /// <summary>Which meter, where a firing has several; they add up.</summary>
    /// <example>main</example>
    public string Meter { get; init; } = MeterEntry.MainMeter;

    /// <summary>
    /// True where other kilns hang on this meter too. Its readings are then one series over all their firings, and what it grew is split by what
    /// each kiln is forecast to take meanwhile. Read it whenever one of them is switched on or off.
    /// </summary>
    public bool Shared { get; init; }

    /// <summary>For a gas meter: the heat of one unit of its register (registerKwh is then in m³), from the supplier's bill.</summary>
    public decimal? KwhPerUnit { get; init; }
}

/// <summary>A reading written down.</summary>
public sealed record MeterReadingAnswer : MeterReadingBody
{
    /// <summary>Its identity.</summary>
    public required Guid Id { get; init; }

    /// <summary>Who struck it, when and why; left out while the reading counts.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public StrikeAnswer? Struck { get; init; }

    /// <summary>The answer for a reading.</summary>
    public static MeterReadingAnswer Of(MeterEntry reading) => new()
    {
        Id = reading.Id.Value,
        ReadAt = reading.ReadAt,
        RegisterKwh = reading.RegisterKwh,
        Event = reading.Event,
        RollsOverAtKwh = reading.RollsOverAtKwh,
        NewRegisterKwh = reading.NewRegisterKwh,
        Meter = reading.Meter,
        Shared = reading.IsShared,
        KwhPerUnit = reading.KwhPerUnit,
        Struck = reading.StruckAt is { } at ? new StrikeAnswer { At = at, MemberId = reading.StruckBy!.Value.Value, Reason = reading.StruckBecause! } : null,
    };
}

/// <summary>That a reading counts no more.</summary>
public sealed record StrikeAnswer
{
    /// <summary>When it was struck.</summary>
    public required Instant At { get; init; }

    /// <summary>Who struck it.</summary>
    public required Guid MemberId { get; init; }

    /// <summary>Why.</summary>
    public required string Reason { get; init; }
}

/// <summary>Why a reading is to count no more.</summary>
public sealed record StrikeBody
{
    /// <summary>The reason; it stays beside the reading.</summary>
    /// <example>read from the wrong meter</example>
    public required string Reason { get; init; }
}

/// <summary>Meter readings of a firing.</summary>
public static class MeterEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapMeters(this RouteGroupBuilder studio)
    {
        var readings = studio.MapGroup("/firings/{firingId:guid}/meter-readings").WithTags("Energy");
        readings.MapPost("", Create).WithName("createMeterReading").NeedsKey().Answers<MeterReadingAnswer>(201).Refuses(409, 422);
        readings.MapPost("/batch", CreateMany).WithName("createMeterReadings").NeedsKey().Answers<BatchAnswer<MeterReadingAnswer>>().Refuses(422);
        readings.MapPost("/{readingId:guid}/strike", Strike).WithName("strikeMeterReading").ClaimsKey().Answers<MeterReadingAnswer>().Refuses(409);
        readings.MapGet("", List).WithName("listMeterReadings").Answers<Page<MeterReadingAnswer>>();
    }

    /// <summary>Write a meter reading down</summary>
    /// <remarks>
    /// One at the start and one at the end are enough; one that was forgotten may be written down between others. A register that fell is refused unless
    /// the reading says that it rolled over or that the meter was exchanged. A wrong one is struck. Needs an Idempotency-Key.
    /// </remarks>
    private static async Task<IResult> Create(
        Guid firingId, MeterReadingBody body, Caller caller, KilnShareDb db, IClock clock, CancellationToken cancellation)
    {
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        if (firing.State == FiringState.Settled)
            return Problems.Of(Refusal.Conflict("costs.already-settled", "This firing is settled. Its meter is corrected with a new settlement."));
        var before = body.Shared ? await db.SharedReadingsOf(firing.StudioId, body.Meter, cancellation)
            : (await db.ReadingsOf(firing, cancellation)).Where(r => r.Meter == body.Meter).ToList();
        if (before.Exists(r => r.IsShared != body.Shared))
            return Problems.Of(Refusal.Rule("energy.shared-or-not",
                $"The readings of {body.Meter} before this one say otherwise. Give this meter another name, or set shared as before.", "/shared"));
        var reading = new MeterEntry(caller.StudioId, NewId.Of<MeterEntry>(clock), firing.Id, body.ReadAt, body.RegisterKwh)
        {
            Event = body.Event,
            RollsOverAtKwh = body.RollsOverAtKwh,
            NewRegisterKwh = body.NewRegisterKwh,
            Meter = body.Meter,
            IsShared = body.Shared,
            KwhPerUnit = body.KwhPerUnit,
            MemberId = caller.MemberId,
        };
        if (MeterEntry.SeriesOf([.. before.Append(reading).OrderBy(r => r.ReadAt)]).Refusal is { } wrong)
            return Problems.Of(wrong with { Pointer = PointerOf(wrong) });
        var answer = MeterReadingAnswer.Of(reading);
        db.Add(reading);
        Trail.Note(db, caller.StudioId, caller.MemberId, "meters.read", reading.Id.Value, clock);
        await db.SaveChangesAsync(cancellation);
        return TypedResults.Created((string?)null, answer);
    }

    /// <summary>Write many meter readings down</summary>
    /// <remarks>
    /// Up to 500 lines in one transaction, each checked and written as by itself; by default all of them or none. What is refused is told line by
    /// line. Needs an Idempotency-Key.
    /// </remarks>
    private static async Task<IResult> CreateMany(
        Guid firingId, Batch<MeterReadingBody> body, Caller caller, HttpContext context, KilnShareDb db, IClock clock, CancellationToken cancellation) =>
        await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is null ? Problems.Absent() : await Batches.Run<MeterReadingBody,
            MeterReadingAnswer>(context, db, body.Lines, body.AllOrNothing, line => Create(firingId, line, caller, db, clock, cancellation), cancellation);

    /// <summary>Strike a meter reading</summary>
    /// <remarks>
    /// It counts no more: not in the settlement, not in what kilns learn, not in the split of a shared meter. It stays listed with who struck it, when and
    /// why. Striking it again changes nothing.
    /// </remarks>
    private static async Task<IResult> Strike(
        Guid firingId, Guid readingId, StrikeBody body, Caller caller, KilnShareDb db, Idempotency idempotency, IClock clock, CancellationToken cancellation)
    {
        await using var writing = await db.Database.BeginTransactionAsync(cancellation);
        // Held, so that of two who strike it at once the second finds it struck.
        await db.Database.ExecuteSqlAsync(
            $"select 1 from meter_reading where studio_id = {caller.StudioId.Value} and id = {readingId} for no key update", cancellation);
        if (await db.FindAsync<MeterEntry>([caller.StudioId, new Id<MeterEntry>(readingId)], cancellation) is not { } reading
            || reading.FiringId.Value != firingId) return Problems.Absent();
        if (reading.StruckAt is not null) return TypedResults.Ok(MeterReadingAnswer.Of(reading));
        var firing = await db.Set<Firing>().AsNoTracking().SingleAsync(f => f.StudioId == caller.StudioId && f.Id == reading.FiringId, cancellation);
        if (firing.State == FiringState.Settled)
            return Problems.Of(Refusal.Conflict("costs.already-settled", "This firing is settled. Its meter is corrected with a new settlement."));
        reading.Strike(caller.MemberId, body.Reason, clock.GetCurrentInstant());
        Trail.Note(db, caller.StudioId, caller.MemberId, "meters.strike", readingId, clock);
        var answer = MeterReadingAnswer.Of(reading);
        if (!await idempotency.Claim(StatusCodes.Status200OK, answer, null, cancellation)) return Idempotency.TakenMeanwhile;
        await db.SaveChangesAsync(cancellation);
        await writing.CommitAsync(cancellation);
        return TypedResults.Ok(answer);
    }

    /// <summary>List a firing's meter readings</summary>
    /// <remarks>The earliest first; struck ones too, with who struck them.</remarks>
    private static async Task<IResult> List(Guid firingId, Caller caller, KilnShareDb db, CancellationToken cancellation)
    {
        if (await db.FindAsync<Firing>([caller.StudioId, new Id<Firing>(firingId)], cancellation) is not { } firing) return Problems.Absent();
        var readings = await db.Set<MeterEntry>().AsNoTracking().Where(r => r.StudioId == firing.StudioId && r.FiringId == firing.Id).OrderBy(r => r.ReadAt)
            .ThenBy(r => r.Id).ToListAsync(cancellation);
        return TypedResults.Ok(new Page<MeterReadingAnswer> { Items = [.. readings.Select(MeterReadingAnswer.Of)], Next = null });
    }

    /// <summary>The last part of the series' pointer, as it is named here.</summary>
    private static string? PointerOf(Refusal refusal) => refusal.Pointer?.Split('/')[^1] switch
    {
        "kwh" => refusal.Code == "energy.rollover-unknown" ? "/rollsOverAtKwh" : "/registerKwh",
        "at" => "/readAt",
        { } field => "/" + field,
        null => null,
    };
}

internal sealed class StrikeValidator : AbstractValidator<StrikeBody>
{
    public StrikeValidator() => RuleFor(s => s.Reason).Line(StudioLimits.MaxNote);
}

internal sealed class MeterReadingsValidator : BatchValidator<MeterReadingBody>;

internal sealed class MeterReadingValidator : AbstractValidator<MeterReadingBody>
{
    private const decimal Highest = 99_999_999.999m;

    public MeterReadingValidator()
    {
        RuleFor(r => r.RegisterKwh).Within(0m, Highest, 3);
        RuleFor(r => r.Meter).Line(MeterEntry.MaxMeter);
        RuleFor(r => r.KwhPerUnit).Within(0.001m, 1000m, 6);
        RuleFor(r => r.RollsOverAtKwh).Within(1m, Highest, 3);
        RuleFor(r => r.RollsOverAtKwh).Must((r, kwh) => kwh is null == (r.Event != MeterEvent.Rollover))
            .WithMessage("rollsOverAtKwh belongs to a rollover, and a rollover needs it.");
        RuleFor(r => r.NewRegisterKwh).Within(0m, Highest, 3);
        RuleFor(r => r.NewRegisterKwh).Must((r, kwh) => kwh is null == (r.Event != MeterEvent.Exchange))
            .WithMessage("newRegisterKwh belongs to an exchange, and an exchange needs it.");
    }
}
