using FluentValidation;
using KilnShare.Api.Common;
using KilnShare.Core.Costs;

namespace KilnShare.Api.Costs;

internal sealed class CostRulesValidator : AbstractValidator<CostRulesBody>
{
    private const int MostSurcharges = 50;
    private const int MostDiscounts = 200;
    private const int MostKinds = 5;
    private const int MostSteps = 10;
    private const int MostHoursBefore = 24 * 90;
    private const long MostMinor = 1_000_000_000_000;

    public CostRulesValidator()
    {
        RuleFor(r => r.EnergyBasis).NotEqual(CostBasis.Direct).WithErrorCode("costs.no-such-basis").WithMessage("Energy is shared: take any basis but direct.");
        RuleFor(r => r.WearBasis).Must(b => b is not (CostBasis.Direct or CostBasis.Kwh)).WithErrorCode("costs.no-such-basis")
            .WithMessage("Wear is shared and is no energy: take any basis but direct and kwh.");
        RuleFor(r => r.MinimumMinor).InclusiveBetween(0, MostMinor).WithMessage($"Takes minor units from 0 to {MostMinor}.");
        RuleFor(r => r.Surcharges).AtMost(MostSurcharges);
        RuleForEach(r => r.Surcharges).ChildRules(s =>
        {
            s.RuleFor(x => x.Name).Name();
            s.RuleFor(x => x.Name).Must(n => !CostRules.OwnParts.Contains(n)).WithErrorCode("costs.reserved-name")
                .WithMessage("That name is kept for another part of the cost; choose another.");
            s.RuleFor(x => x.EachMinor).InclusiveBetween(-MostMinor, MostMinor).WithMessage($"Takes minor units, {MostMinor} either way.");
        });
        RuleFor(r => r.Surcharges).Must(s => s.Select(x => x.Name).Distinct(StringComparer.Ordinal).Count() == s.Count).WithErrorCode("costs.named-twice")
            .WithMessage("A surcharge is named twice. Name it once.");
        RuleFor(r => r.WearRates).AtMost(MostKinds);
        RuleFor(r => r.WearRates).Must(w => w.Select(x => x.Kind).Distinct().Count() == w.Count).WithErrorCode("costs.named-twice")
            .WithMessage("A kind is named twice. Name it once.");
        RuleForEach(r => r.WearRates).ChildRules(w => w.RuleFor(x => x.Percent).Must(IsPercent).WithMessage("Takes a percent from 0 to 100."));
        RuleFor(r => r.Discounts).AtMost(MostDiscounts);
        RuleFor(r => r.Discounts).Must(d => d.Select(x => x.MemberId).Distinct().Count() == d.Count).WithErrorCode("costs.named-twice")
            .WithMessage("A member is named twice. Name each once.");
        RuleForEach(r => r.Discounts)
            .ChildRules(d => d.RuleFor(x => x.Percent).InclusiveBetween(1, CostRules.MostPercent).WithMessage("Takes a percent from 1 to 100."));
        RuleFor(r => r.TestWarePercent).Must(IsPercent).WithMessage("Takes a percent from 0 to 100.");
        RuleFor(r => r.VatPercent).Must(t => Prices.TryRead(t, out var vat) && vat <= Vat.MostPercent && decimal.Round(vat, 3) == vat)
            .WithErrorCode("costs.not-a-rate")
            .WithMessage("Takes a percent as text from 0 to 100, three decimals at most, such as \"19\" or \"5.5\".");
        RuleFor(r => r.Failed).ChildRules(f =>
        {
            f.RuleFor(x => x.ShortPercent).Must(IsPercent).WithMessage("Takes a percent from 0 to 100.");
            f.RuleFor(x => x.OverPercent).Must(IsPercent).WithMessage("Takes a percent from 0 to 100.");
            f.RuleFor(x => x.AbortedPercent).Must(IsPercent).WithMessage("Takes a percent from 0 to 100.");
            f.RuleFor(x => x.CancelledPercent).Must(IsPercent).WithMessage("Takes a percent from 0 to 100.");
        });
        RuleFor(r => r.Withdrawal).AtMost(MostSteps);
        RuleFor(r => r.Withdrawal).Must(w => w.Select(x => x.HoursBefore).Distinct().Count() == w.Count).WithErrorCode("costs.named-twice")
            .WithMessage("Two steps begin at the same hour. Name it once.");
        RuleForEach(r => r.Withdrawal).ChildRules(WithdrawalRules);
        RuleFor(r => r.PriceList!).ChildRules(ListRules).When(r => r.PriceList is not null);
    }

    private static bool IsPercent(int percent) => percent is >= 0 and <= CostRules.MostPercent;

    private static void WithdrawalRules(InlineValidator<WithdrawalStepContract> step)
    {
        step.RuleFor(x => x.HoursBefore).InclusiveBetween(0, MostHoursBefore).WithMessage($"Takes hours from 0 to {MostHoursBefore}.");
        step.RuleFor(x => x.Percent).Must(IsPercent).WithMessage("Takes a percent from 0 to 100.");
        step.RuleFor(x => x.FlatMinor).InclusiveBetween(0, MostMinor).WithMessage($"Takes minor units from 0 to {MostMinor}.");
        step.RuleFor(x => x.FlatMinor).Must((x, flat) => x.Percent > 0 || flat > 0).WithErrorCode("costs.no-fee")
            .WithMessage("Say a percent, a fixed fee, or both above 0.");
    }

    private static void ListRules(InlineValidator<PriceListContract> list)
    {
        list.RuleFor(l => l.LeastMinor).InclusiveBetween(0, MostMinor).WithMessage($"Takes minor units from 0 to {MostMinor}.");
        list.RuleFor(l => l.Prices).NotEmpty().WithMessage("Takes one price at the least.");
        list.RuleFor(l => l.Prices).AtMost(MostKinds);
        list.RuleFor(l => l.Prices).Must(p => p.Select(x => x.Kind).Distinct().Count() == p.Count).WithErrorCode("costs.named-twice")
            .WithMessage("A kind is named twice. Name it once.");
        list.RuleForEach(l => l.Prices).ChildRules(p => p.RuleFor(x => x.PerLitre)
            .Must(t => Prices.TryRead(t, out var price) && price <= Core.Studios.StudioLimits.MaxPerKwh).WithErrorCode("request.not-a-price")
            .WithMessage("Takes a price as text in major units, six decimals at most, such as \"1.85\"."));
    }
}
