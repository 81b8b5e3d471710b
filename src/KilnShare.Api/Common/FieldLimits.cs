using System.Reflection;
using FluentValidation;
using FluentValidation.Validators;

namespace KilnShare.Api.Common;

/// <summary>What every validated field takes, read off the validators themselves, so that the document cannot say anything else.</summary>
public sealed class FieldLimits
{
    private readonly Dictionary<(Type, string), FieldLimit> fields = [];
    private readonly Dictionary<(Type, string), FieldLimit> items = [];
    private readonly HashSet<Type> inputs = [];

    /// <summary>Reads every validator of the service.</summary>
    public FieldLimits()
    {
        var validators = typeof(FieldLimits).Assembly.GetTypes()
            .Where(t => t is { IsAbstract: false, ContainsGenericParameters: false } && typeof(IValidator).IsAssignableFrom(t)
                && t.GetConstructor(Type.EmptyTypes) is not null);
        foreach (var type in validators)
        {
            Read((IValidator)Activator.CreateInstance(type)!, []);
            AddInput(type.GetInterfaces().First(i => i.IsGenericType && i.GetGenericTypeDefinition() == typeof(IValidator<>)).GetGenericArguments()[0]);
        }
    }

    /// <summary>What a field takes; null where no rule says so.</summary>
    public FieldLimit? Of(PropertyInfo field) => fields.GetValueOrDefault((field.DeclaringType!, field.Name));

    /// <summary>True for what a client sends: a validated contract or a part of one.</summary>
    public bool IsInput(Type type) => inputs.Contains(type);

    /// <summary>What each entry of a list takes; null where no rule says so.</summary>
    public FieldLimit? OfItems(PropertyInfo field) => items.GetValueOrDefault((field.DeclaringType!, field.Name));

    private void AddInput(Type type)
    {
        type = Nullable.GetUnderlyingType(type) ?? type;
        if (type.IsGenericType)
        {
            foreach (var argument in type.GetGenericArguments()) AddInput(argument);
        }

        if (type.Assembly != typeof(FieldLimits).Assembly || type.IsEnum || !inputs.Add(type)) return;
        foreach (var property in type.GetProperties(BindingFlags.Public | BindingFlags.Instance)) AddInput(property.PropertyType);
    }

    private void Read(IValidator validator, HashSet<IValidator> seen)
    {
        if (!seen.Add(validator)) return;
        foreach (var rule in validator.CreateDescriptor().Rules.Where(r => r.Member is PropertyInfo))
        {
            var property = (PropertyInfo)rule.Member;
            var key = (property.DeclaringType!, property.Name);
            var isList = rule.GetType().GetInterfaces().Any(i => i.IsGenericType && i.GetGenericTypeDefinition() == typeof(ICollectionRule<,>));
            foreach (var component in rule.Components)
            {
                if (component.Validator is IChildValidatorAdaptor) Read(ChildOf(component.Validator), seen);
                else if (LimitOf(component.Validator) is { } limit) Add(isList ? items : fields, key, limit);
            }
        }
    }

    private static void Add(Dictionary<(Type, string), FieldLimit> limits, (Type, string) key, FieldLimit limit) =>
        limits[key] = limits.TryGetValue(key, out var known) ? Looser(known, limit) : limit;

    /// <summary>Two rules on one field of a shared contract: the document shows what both let through, or either where only one speaks.</summary>
    private static FieldLimit Looser(FieldLimit one, FieldLimit other) => new()
    {
        Least = one.Least is { } a && other.Least is { } b ? Math.Min(a, b) : one.Least ?? other.Least,
        Most = one.Most is { } c && other.Most is { } d ? Math.Max(c, d) : one.Most ?? other.Most,
        Decimals = one.Decimals is { } e && other.Decimals is { } f ? Math.Max(e, f) : one.Decimals ?? other.Decimals,
        Shortest = one.Shortest is { } g && other.Shortest is { } h ? Math.Min(g, h) : one.Shortest ?? other.Shortest,
        Longest = one.Longest is { } i && other.Longest is { } j ? Math.Max(i, j) : one.Longest ?? other.Longest,
        MostItems = one.MostItems is { } k && other.MostItems is { } l ? Math.Max(k, l) : one.MostItems ?? other.MostItems,
        Pattern = one.Pattern ?? other.Pattern,
    };

    private static FieldLimit? LimitOf(IPropertyValidator validator) => validator switch
    {
        ILimitRule rule => rule.Limit,
        IBetweenValidator between => new FieldLimit { Least = Convert.ToDecimal(between.From), Most = Convert.ToDecimal(between.To) },
        ILengthValidator length => new FieldLimit { Longest = length.Max },
        _ => null,
    };

    private static IValidator ChildOf(IPropertyValidator adaptor)
    {
        var context = Activator.CreateInstance(typeof(ValidationContext<>).MakeGenericType(adaptor.GetType().GetGenericArguments()[0]), [null]);
        return (IValidator)adaptor.GetType().GetMethod("GetValidator")!.Invoke(adaptor, [context, null])!;
    }
}
