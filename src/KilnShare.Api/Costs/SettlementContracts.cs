using FluentValidation;
using KilnShare.Api.Common;
using KilnShare.Api.Energy;
using KilnShare.Core.Costs;
using KilnShare.Core.Energy;
using KilnShare.Core.Studios;
using NodaTime;

namespace KilnShare.Api.Costs;

/// <summary>A firing's cost, shared out.</summary>
public sealed record FiringCostAnswer
{
    /// <summary>How much of everybody's amounts this answer shows; the studio's amountsShownTo says to whom all of them.</summary>
    public required AmountsShown Shown { get; init; }

    /// <summary>What is withheld, why, and whom to ask; null where nothing is.</summary>
    public required string? Withheld { get; init; }

    /// <summary>By the meter; null where totals are withheld.</summary>
    /// <example>63.4</example>
    public required decimal? EnergyKwh { get; init; }

    /// <summary>ISO 4217 code.</summary>
    /// <example>EUR</example>
    public required string Currency { get; init; }

    /// <summary>Who bears what.</summary>
    public required CostSplitAnswerContract Split { get; init; }

    /// <summary>
    /// The bill of the energy by the kiln's tariff, line by line; null where the studio's flat price holds, or once settled, and where its parts are
    /// withheld.
    /// </summary>
    public required TariffCostContract? EnergyCost { get; init; }

    /// <summary>How each part that is shown was divided, in a sentence.</summary>
    public required IReadOnlyDictionary<string, string> Reasons { get; init; }

    /// <summary>The split by the meter, where members pay list prices; null otherwise.</summary>
    public required CostSplitAnswerContract? Metered { get; init; }

    /// <summary>Minor units that the studio bears beyond list prices, below 0 what it keeps; null without list prices, and where totals are withheld.</summary>
    public required long? DifferenceMinor { get; init; }

    /// <summary>
    /// The same cost with energy divided by kWh, offered once the kiln is learnt; null before, where that is the rule already, or where ware was not
    /// weighed.
    /// </summary>
    public required CostSplitAnswerContract? ByKwh { get; init; }

    /// <summary>What speaks against its energy as it was written down: with any of these only an owner settles it. Empty once settled.</summary>
    public required IReadOnlyList<EnergyDoubtContract> Doubts { get; init; }

    /// <summary>The studio's cost rules that hold here, in sentences.</summary>
    public required IReadOnlyList<string> Rules { get; init; }

    /// <summary>The answer for a firing's cost.</summary>
    internal static FiringCostAnswer Of(FiringCosts costs, IReadOnlyDictionary<string, string> names, AmountsView view)
    {
        var byList = FiringCost.IsByList(costs.Basis);
        return new FiringCostAnswer
        {
            Shown = view.Shown,
            Withheld = view.Withheld,
            EnergyKwh = view.ShowsTotals ? costs.Cost.EnergyKwh : null,
            EnergyCost = costs.Energy is { } energy && view.ShowsParts(costs.Cost.Metered) ? TariffCostContract.Of(energy) : null,
            Currency = costs.Currency.Code,
            Split = CostSplitAnswerContract.Of(costs.Cost.Charged, view),
            Reasons = costs.ReasonsFor(view),
            Metered = byList ? CostSplitAnswerContract.Of(costs.Cost.Metered, view) : null,
            DifferenceMinor = byList && view.ShowsTotals
                ? costs.Cost.Charged.Shares.SelectMany(x => x.Parts).Where(p => p.Name == PriceList.DifferencePart).Sum(p => p.AmountMinor) : null,
            ByKwh = costs.ByKwh() is { } offered ? CostSplitAnswerContract.Of(offered, view) : null,
            Doubts = view.ShowsTotals ? [.. costs.Doubts.Select(EnergyDoubtContract.Of)] : [],
            Rules = CostSentences.Of(costs.Basis.Rules, costs.Currency, names),
        };
    }
}

/// <summary>What speaks against a firing's energy as it was written down.</summary>
public sealed record EnergyDoubtContract
{
    /// <summary>Stable code; the one that an owner names under overrule.</summary>
    /// <example>energy.above-rated-power</example>
    public required string Code { get; init; }

    /// <summary>What is wrong with which reading, and what to do.</summary>
    public required string Message { get; init; }

    /// <summary>The contract of a doubt.</summary>
    internal static EnergyDoubtContract Of(EnergyDoubt doubt) => new() { Code = doubt.Code, Message = doubt.Message };
}

/// <summary>That an owner settles energy that cannot be all the same; left out otherwise.</summary>
public sealed record SettlementBody
{
    /// <summary>The codes of what speaks against it, each.</summary>
    /// <example>["energy.above-rated-power"]</example>
    public required IReadOnlyList<string> Overrule { get; init; }

    /// <summary>Why the energy is right; it is kept with the settlement.</summary>
    /// <example>the plate is of the elements before, these have 13 kW</example>
    public required string Reason { get; init; }
}

/// <summary>That energy was settled although something spoke against it.</summary>
public sealed record OverruledContract
{
    /// <summary>The codes of what spoke against it.</summary>
    public required IReadOnlyList<string> Codes { get; init; }

    /// <summary>Why it is right.</summary>
    public required string Reason { get; init; }

    /// <summary>The owner who said so.</summary>
    public required Guid MemberId { get; init; }

    /// <summary>The contract of what was overruled.</summary>
    internal static OverruledContract? Of(OverruledDoubts? kept) =>
        kept is null ? null : new() { Codes = kept.Codes, Reason = kept.Reason, MemberId = Guid.Parse(kept.Member) };
}

/// <summary>A settlement.</summary>
public sealed record SettlementAnswer
{
    /// <summary>The firing.</summary>
    public required Guid FiringId { get; init; }

    /// <summary>1, and one more for each correction.</summary>
    public required int Revision { get; init; }

    /// <summary>How much of everybody's amounts this answer shows; the studio's amountsShownTo says to whom all of them.</summary>
    public required AmountsShown Shown { get; init; }

    /// <summary>What is withheld, why, and whom to ask; null where nothing is.</summary>
    public required string? Withheld { get; init; }

    /// <summary>The energy shared; null where totals are withheld.</summary>
    public required decimal? EnergyKwh { get; init; }

    /// <summary>ISO 4217 code.</summary>
    public required string Currency { get; init; }

    /// <summary>Who bears what.</summary>
    public required CostSplitAnswerContract Split { get; init; }

    /// <summary>Why it was corrected; null for the first.</summary>
    public required string? Reason { get; init; }

    /// <summary>Where its energy was settled by an owner although something spoke against it; null otherwise.</summary>
    public required OverruledContract? Overruled { get; init; }

    /// <summary>When.</summary>
    public required Instant SettledAt { get; init; }

    /// <summary>The answer for a settlement.</summary>
    public static SettlementAnswer Of(FiringSettlement settlement, AmountsView view) => new()
    {
        Shown = view.Shown,
        Withheld = view.Withheld,
        FiringId = settlement.FiringId.Value,
        Revision = settlement.Revision,
        EnergyKwh = view.ShowsTotals ? settlement.EnergyKwh : null,
        Currency = settlement.Currency,
        Split = CostSplitAnswerContract.Of(settlement.Split, view),
        Reason = settlement.Reason,
        Overruled = OverruledContract.Of(settlement.Basis.Overruled),
        SettledAt = settlement.SettledAt,
    };
}

/// <summary>What a misread meter really showed, or what energy the firing really took: one of the two.</summary>
public sealed record CorrectionBody
{
    /// <summary>What the register really showed at the last reading, kWh.</summary>
    /// <example>4884.8</example>
    public decimal? EndRegisterKwh { get; init; }

    /// <summary>The energy the firing really took, kWh.</summary>
    /// <example>63.4</example>
    public decimal? EnergyKwh { get; init; }

    /// <summary>Why, in words.</summary>
    /// <example>two digits were swapped</example>
    public required string Reason { get; init; }

    /// <summary>Where more energy is right than the kiln's power gives: the code of what speaks against it. Owners only.</summary>
    public IReadOnlyList<string> Overrule { get; init; } = [];
}

internal sealed class SettlementBodyValidator : AbstractValidator<SettlementBody>
{
    internal const int MostOverruled = 10;
    internal const int LongestCode = 60;

    public SettlementBodyValidator()
    {
        RuleFor(s => s.Overrule).NotEmpty().WithMessage("Takes the code of what speaks against it; without any leave the body out.");
        RuleFor(s => s.Overrule).AtMost(MostOverruled);
        RuleForEach(s => s.Overrule).Line(LongestCode);
        RuleFor(s => s.Reason).Line(StudioLimits.MaxNote);
    }
}

internal sealed class CorrectionValidator : AbstractValidator<CorrectionBody>
{
    private const decimal HighestKwh = 99_999_999.999m;

    public CorrectionValidator()
    {
        RuleFor(c => c.EndRegisterKwh).Within(0m, HighestKwh, 3);
        RuleFor(c => c.EnergyKwh).Within(0m, HighestKwh, 3);
        RuleFor(c => c.EnergyKwh).Must((c, kwh) => kwh is null != c.EndRegisterKwh is null).WithErrorCode("costs.one-of-two")
            .WithMessage("Say either endRegisterKwh or energyKwh.");
        RuleFor(c => c.Reason).Line(StudioLimits.MaxNote);
        RuleFor(c => c.Overrule).AtMost(SettlementBodyValidator.MostOverruled);
        RuleForEach(c => c.Overrule).Line(SettlementBodyValidator.LongestCode);
    }
}
