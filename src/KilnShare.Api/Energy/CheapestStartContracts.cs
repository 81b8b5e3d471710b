using FluentValidation;
using KilnShare.Core.Common;
using KilnShare.Core.Energy;
using NodaTime;

namespace KilnShare.Api.Energy;

/// <summary>Some hours of the wall clock.</summary>
public readonly record struct ClockSpanContract
{
    /// <summary>Every hour of every day, until told otherwise.</summary>
    public ClockSpanContract()
    {
    }

    /// <summary>Months, as 1-12 or 11-2,4.</summary>
    /// <example>1-12</example>
    public string Months { get; init; } = "1-12";

    /// <summary>Weekdays, as mon-fri or sat,sun.</summary>
    /// <example>mon-fri</example>
    public string Days { get; init; } = "mon-sun";

    /// <summary>From that time of day.</summary>
    /// <example>08:00</example>
    public string From { get; init; } = "00:00";

    /// <summary>Until that time.</summary>
    /// <example>22:00</example>
    public string To { get; init; } = "24:00";
}

/// <summary>When somebody is there.</summary>
public sealed record AttendanceContract
{
    /// <summary>By the clock of the zone; somebody must be there at the start and before the end.</summary>
    public required IReadOnlyList<ClockSpanContract> Hours { get; init; }

    /// <summary>So long before the end of the firing somebody must be there.</summary>
    /// <example>2</example>
    public double AtEndHours { get; init; } = 1;

    /// <summary>In Core's terms.</summary>
    public Result<Attendance> ToCore()
    {
        var spans = new List<ClockSpan>();
        for (var i = 0; i < Hours.Count; i++)
        {
            if (!ClockSpan.Parse(Hours[i].Months, Hours[i].Days, Hours[i].From, Hours[i].To).TryGet(out var span, out var refusal))
                return refusal with { Pointer = $"/attended/hours/{i}{refusal.Pointer}" };
            spans.Add(span);
        }

        return new Attendance(spans, Duration.FromHours(AtEndHours));
    }
}

/// <summary>A firing whose cheapest start is asked for.</summary>
public sealed record CheapestStartQuestion : FiringEnergyQuestion
{
    /// <summary>Not before.</summary>
    public required Instant From { get; init; }

    /// <summary>The firing has ended by then; at most 14 days later.</summary>
    public required Instant To { get; init; }

    /// <summary>When somebody is there; absent: nobody needs to be.</summary>
    public AttendanceContract? Attended { get; init; }
}

/// <summary>When to start so that the electricity costs least.</summary>
public sealed record CheapestStartAnswer
{
    /// <summary>The start; of equally cheap ones the earliest, on quarters of an hour from the window's beginning.</summary>
    public required Instant StartsAt { get; init; }

    /// <summary>When its schedule ends.</summary>
    public required Instant EndsAt { get; init; }

    /// <summary>What it costs then.</summary>
    public required TariffCostContract Cost { get; init; }

    /// <summary>What it would cost from the window's beginning.</summary>
    public required TariffCostContract AtOnce { get; init; }

    /// <summary>Energy from the mains.</summary>
    public required decimal EnergyKwh { get; init; }

    /// <summary>The true figure is probably within so much of it.</summary>
    public required double HalfWidthPercent { get; init; }

    /// <summary>What to mind.</summary>
    public required string Caution { get; init; }
}

internal sealed class CheapestStartValidator : AbstractValidator<CheapestStartQuestion>
{
    private const int MostSpans = 50;
    private const double MostHoursAtEnd = 48;

    public CheapestStartValidator()
    {
        Include(new EnergyQuestionRules<CheapestStartQuestion>());
        RuleFor(q => q.Tariff).NotNull().WithErrorCode("energy.tariff-missing").WithMessage("The cheapest start needs a tariff.");
        RuleFor(q => q.StartsAt).Null().WithErrorCode("energy.start-given")
            .WithMessage("The start is what is looked for: leave this out, and say from when to when in from and to.");
        RuleFor(q => q.To).Must((q, to) => to > q.From).WithErrorCode("energy.window-empty").WithMessage("to lies after from.");
        RuleFor(q => q.Attended).Must(a => a is null || a.Hours.Count is > 0 and <= MostSpans).WithMessage($"Takes 1 to {MostSpans} spans of hours.");
        RuleFor(q => q.Attended).Must(a => a is null || a.AtEndHours is >= 0 and <= MostHoursAtEnd).WithMessage($"atEndHours takes 0 to {MostHoursAtEnd}.");
    }
}
